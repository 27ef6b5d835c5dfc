// SPDX-License-Identifier: MIT
#include "qf-question-form.h"

#include "common/qf-rows.h"

#include <string.h>

/// The form's widgets; freed with its window
typedef struct {
  GtkWindow*    window;
  QfLessonItem* item; ///< Owned reference
  QfQuestion    question;
  GtkEditable*  prompt;
  AdwComboRow*  stage;
  AdwComboRow*  form;
  GtkEditable*  choices;
  GtkEditable*  answers;
  GtkEditable*  hints[QF_QUESTION_MAX_HINTS];
  GtkEditable*  right;
  GtkEditable*  wrong;
} Form;

static const char separator[] = ";";

static void
form_free(Form* const self)
{
  g_object_unref(self->item);
  g_free(self);
}

/// Texts of a list in one line, as they are typed (transfer full)
static char*
join(const char (*const texts)[QF_QUESTION_CHOICE_SIZE], const size_t n)
{
  GString* const line = g_string_new(NULL);
  for (size_t i = 0; i < n; ++i) {
    g_string_append_printf(line, "%s%s", i ? "; " : "", texts[i]);
  }
  return g_string_free(line, FALSE);
}

/// Read a list typed in one line; gives how many there are
static size_t
split(const char* const line, char (*const texts)[QF_QUESTION_CHOICE_SIZE], const size_t most)
{
  g_auto(GStrv) parts = g_strsplit(line, separator, -1);
  size_t n            = 0;

  for (int i = 0; parts[i] && n < most; ++i) {
    g_strstrip(parts[i]);
    if (parts[i][0]) {
      g_strlcpy(texts[n++], parts[i], QF_QUESTION_CHOICE_SIZE);
    }
  }
  return n;
}

static void
copy_text(char* const target, GtkEditable* const source)
{
  g_strlcpy(target, gtk_editable_get_text(source), QF_QUESTION_TEXT_SIZE);
}

static void
apply_cb(Form* const self)
{
  QfLesson* const lesson   = qf_lesson_item_get_lesson(self->item);
  QfQuestion      question = self->question;
  QfError         error    = {0};

  copy_text(question.prompt, self->prompt);
  copy_text(question.right, self->right);
  copy_text(question.wrong, self->wrong);
  question.n_choices =
    split(gtk_editable_get_text(self->choices), question.choices, QF_QUESTION_MAX_CHOICES);
  question.n_answers =
    split(gtk_editable_get_text(self->answers), question.answers, QF_QUESTION_MAX_ANSWERS);
  question.n_hints = 0;
  for (size_t i = 0; i < QF_QUESTION_MAX_HINTS; ++i) {
    if (gtk_editable_get_text(self->hints[i])[0]) {
      copy_text(question.hints[question.n_hints++], self->hints[i]);
    }
  }
  if (question.is_own) {
    question.stage = (QfStage)adw_combo_row_get_selected(self->stage);
    question.form  = (QfAskForm)adw_combo_row_get_selected(self->form);
  }

  if (qf_lesson_item_finish(self->item, qf_lesson_put_question(lesson, &question, &error),
                            &error)) {
    gtk_window_close(self->window);
  }
}

/// A question of the teacher's own, with an identity no other has
static QfQuestion
new_question(QfLesson* const lesson)
{
  QfQuestion question = {.form = QF_ASK_CHOICE, .is_own = true};

  qf_lesson_get_key(lesson, &question.key);
  question.end = qf_score_get_end(qf_lesson_get_score(lesson));
  for (unsigned i = 1; i < QF_MAX_QUESTIONS; ++i) {
    g_snprintf(question.id, sizeof(question.id), "own-%u", i);
    if (qf_lesson_find_question(lesson, question.id) == SIZE_MAX) {
      break;
    }
  }
  return question;
}

static void
add_rows(Form* const self, AdwPreferencesPage* const page)
{
  static const char* const   forms[]  = {"One of several", "A scale degree", "A note",
                                         "Sung",           "A numeral",      NULL};
  const QfQuestion* const    question = &self->question;
  AdwPreferencesGroup* const asked    = qf_rows_add_group(page, "Question", NULL);
  AdwPreferencesGroup* const answers =
    qf_rows_add_group(page, "Answer", "Several stand apart by semicolons");
  AdwPreferencesGroup* const hints =
    qf_rows_add_group(page, "Hints", "From a nudge to a strong one; never the answer first");
  g_autofree char* choice_line                  = join(question->choices, question->n_choices);
  g_autofree char* answer_line                  = join(question->answers, question->n_answers);
  const char*      stages[QF_STAGE_N_KINDS + 1] = {NULL};

  for (QfStage stage = 0; stage < QF_STAGE_N_KINDS; ++stage) {
    stages[stage] = qf_stage_name(stage);
  }
  self->prompt = qf_rows_add_text(asked, "Question", question->prompt);
  self->stage  = qf_rows_add_choice(asked, "Stage", stages, question->stage);
  self->form   = qf_rows_add_choice(asked, "Answered by", forms, question->form);
  gtk_widget_set_sensitive(GTK_WIDGET(self->stage), question->is_own);
  gtk_widget_set_sensitive(GTK_WIDGET(self->form), question->is_own);
  self->choices = qf_rows_add_text(answers, "Choices offered", choice_line);
  self->answers = qf_rows_add_text(answers, "Right answers", answer_line);
  self->right   = qf_rows_add_text(answers, "Said of a right answer", question->right);
  self->wrong   = qf_rows_add_text(answers, "Said of a wrong one", question->wrong);
  for (size_t i = 0; i < QF_QUESTION_MAX_HINTS; ++i) {
    g_autofree char* title = g_strdup_printf("Hint %zu", i + 1);
    self->hints[i] =
      qf_rows_add_text(hints, title, i < question->n_hints ? question->hints[i] : "");
  }
}

void
qf_question_form_present(GtkWindow* const        parent,
                         QfLessonItem* const     item,
                         const QfQuestion* const question)
{
  Form* const               self = g_new0(Form, 1);
  AdwPreferencesPage* const page = ADW_PREFERENCES_PAGE(adw_preferences_page_new());

  self->item     = g_object_ref(item);
  self->question = question ? *question : new_question(qf_lesson_item_get_lesson(item));
  add_rows(self, page);
  self->window =
    GTK_WINDOW(qf_rows_window_new(parent, question ? "Edit a Question" : "Add a Question", "_Apply",
                                  page, G_CALLBACK(apply_cb), self));
  g_object_set_data_full(G_OBJECT(self->window), "form", self, (GDestroyNotify)form_free);
  gtk_window_present(self->window);
  gtk_widget_grab_focus(GTK_WIDGET(self->prompt));
}
