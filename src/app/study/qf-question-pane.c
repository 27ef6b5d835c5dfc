// SPDX-License-Identifier: MIT
#include "qf-question-pane.h"

#include "common/qf-message.h"
#include "qf-app.h"

struct _QfQuestionPane {
  GtkWidget    parent_instance;
  GtkWidget*   box; ///< Template child, as all widgets below
  GtkDropDown* stages;
  GtkLabel*    stage;
  GtkLabel*    prompt;
  GtkBox*      choices;
  GtkWidget*   typing;
  GtkEntry*    entry;
  GtkWidget*   from_staff;
  GtkWidget*   sing;
  GtkLabel*    feedback;
  GtkBox*      hints;
  GtkWidget*   hint;
  GArray*      questions; ///< Of #QfQuestion
  GArray*      states;    ///< Of #State, beside them
  QfRubric     rubric;
  guint        current;
  gboolean     is_filling; ///< The list of stages, so that its choice is not the user's
};

/// What became of a question so far
typedef struct {
  guint    n_hints;
  gboolean is_right;
} State;

G_DEFINE_FINAL_TYPE(QfQuestionPane, qf_question_pane, GTK_TYPE_WIDGET)

enum { SHOWN, REPLIED, N_SIGNALS };
static guint signals[N_SIGNALS];

static State*
state_of(const QfQuestionPane* const self)
{
  return &g_array_index(self->states, State, self->current);
}

const QfQuestion*
qf_question_pane_get_current(const QfQuestionPane* const self)
{
  return self->current < self->questions->len
           ? &g_array_index(self->questions, QfQuestion, self->current)
           : NULL;
}

static void
empty_box(GtkBox* const box)
{
  for (GtkWidget* child = NULL; (child = gtk_widget_get_first_child(GTK_WIDGET(box)));) {
    gtk_box_remove(box, child);
  }
}

static void
choice_cb(QfQuestionPane* const self, GtkButton* const button)
{
  qf_question_pane_answer(self, gtk_button_get_label(button));
}

static void
show_choices(QfQuestionPane* const self, const QfQuestion* const question)
{
  empty_box(self->choices);
  for (size_t i = 0; i < question->n_choices; ++i) {
    GtkWidget* const button = gtk_button_new_with_label(question->choices[i]);
    gtk_label_set_xalign(GTK_LABEL(gtk_button_get_child(GTK_BUTTON(button))), 0.0F);
    g_signal_connect_object(button, "clicked", G_CALLBACK(choice_cb), self, G_CONNECT_SWAPPED);
    gtk_box_append(self->choices, button);
  }
}

static void
show_hints(QfQuestionPane* const self, const QfQuestion* const question)
{
  const guint n_seen = state_of(self)->n_hints;

  empty_box(self->hints);
  for (guint i = 0; i < n_seen && i < question->n_hints; ++i) {
    GtkWidget* const label = gtk_label_new(question->hints[i]);
    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
    gtk_label_set_max_width_chars(GTK_LABEL(label), 30);
    gtk_widget_add_css_class(label, "qf-hint");
    gtk_box_append(self->hints, label);
  }
  gtk_widget_set_sensitive(self->hint, n_seen < question->n_hints && !state_of(self)->is_right);
}

/// What to type for a form of answer; in minor the signs need a word more
static const char*
placeholder_of(const QfQuestion* const question)
{
  static const char* const words[QF_ASK_N_KINDS] = {
    [QF_ASK_CHOICE] = "",        [QF_ASK_DEGREE] = "5, #4 or fi",
    [QF_ASK_NOTE] = "F# or F#4", [QF_ASK_SING] = "or write it: 5, #4 or fi",
    [QF_ASK_NUMERAL] = "V65/ii",
  };
  const bool is_degree = question->form == QF_ASK_DEGREE || question->form == QF_ASK_SING;

  return is_degree && question->key.mode == QF_MINOR ? "5; the leading tone is #7 or ti"
                                                     : words[question->form];
}

// ---- stages

/// Row of a stage in the list, which leaves out stages nothing is asked of
static guint
row_of(const QfQuestionPane* const self, const QfStage stage)
{
  gboolean is_there[QF_STAGE_N_KINDS] = {FALSE};
  guint    row                        = 0;

  for (guint i = 0; i < self->questions->len; ++i) {
    is_there[g_array_index(self->questions, QfQuestion, i).stage] = TRUE;
  }
  for (QfStage before = 0; before < stage; ++before) {
    row += is_there[before];
  }
  return row;
}

/// Each stage with the number of its questions
static void
fill_stages(QfQuestionPane* const self)
{
  g_autoptr(GtkStringList) words = gtk_string_list_new(NULL);
  guint counts[QF_STAGE_N_KINDS] = {0};

  for (guint i = 0; i < self->questions->len; ++i) {
    ++counts[g_array_index(self->questions, QfQuestion, i).stage];
  }
  for (QfStage stage = 0; stage < QF_STAGE_N_KINDS; ++stage) {
    if (counts[stage]) {
      g_autofree char* name = g_strdup(qf_stage_name(stage));
      name[0]               = g_ascii_toupper(name[0]);
      g_autofree char* text = g_strdup_printf("%s (%u)", name, counts[stage]);
      gtk_string_list_append(words, text);
    }
  }
  self->is_filling = TRUE;
  gtk_drop_down_set_model(self->stages, G_LIST_MODEL(words));
  self->is_filling = FALSE;
  gtk_widget_set_visible(GTK_WIDGET(self->stages), self->questions->len > 0);
}

static void
show_stage(QfQuestionPane* const self, const QfStage stage)
{
  self->is_filling = TRUE;
  gtk_drop_down_set_selected(self->stages, row_of(self, stage));
  self->is_filling = FALSE;
}

static void
show_current(QfQuestionPane* const self)
{
  const QfQuestion* const question = qf_question_pane_get_current(self);

  if (!question) {
    return;
  }

  const gboolean   is_typed = question->form != QF_ASK_CHOICE;
  g_autofree char* stage    = g_strdup_printf("Question %u of %u \u2022 %s", self->current + 1,
                                              self->questions->len, qf_stage_name(question->stage));
  gtk_label_set_text(self->stage, stage);
  show_stage(self, question->stage);
  gtk_label_set_text(self->prompt, question->prompt);
  gtk_label_set_text(self->feedback, state_of(self)->is_right ? question->right : "");
  gtk_editable_set_text(GTK_EDITABLE(self->entry), "");
  gtk_entry_set_placeholder_text(self->entry, placeholder_of(question));
  gtk_widget_set_visible(self->typing, is_typed);
  gtk_widget_set_visible(self->sing, question->form == QF_ASK_SING);
  gtk_widget_set_visible(self->from_staff,
                         question->form == QF_ASK_NOTE || question->form == QF_ASK_DEGREE);
  show_choices(self, question);
  show_hints(self, question);
  g_signal_emit(self, signals[SHOWN], 0, self->current);
}

void
qf_question_pane_set_questions(QfQuestionPane* const   self,
                               const QfQuestion* const questions,
                               const size_t            n_questions,
                               const QfRubric* const   rubric)
{
  g_array_set_size(self->questions, 0);
  for (size_t i = 0; i < n_questions; ++i) {
    if (!questions[i].is_dropped) {
      g_array_append_val(self->questions, questions[i]);
    }
  }
  g_array_set_size(self->states, 0);
  g_array_set_size(self->states, self->questions->len);
  self->rubric  = *rubric;
  self->current = 0;
  fill_stages(self);
  show_current(self);
}

void
qf_question_pane_set_placeholder(QfQuestionPane* const self, const char* const text)
{
  g_array_set_size(self->questions, 0);
  fill_stages(self);
  gtk_label_set_text(self->stage, "");
  gtk_label_set_text(self->prompt, text);
  gtk_label_set_text(self->feedback, "");
  gtk_widget_set_visible(self->typing, FALSE);
  gtk_widget_set_visible(self->from_staff, FALSE);
  gtk_widget_set_visible(self->sing, FALSE);
  gtk_widget_set_sensitive(self->hint, FALSE);
  empty_box(self->choices);
  empty_box(self->hints);
}

void
qf_question_pane_step(QfQuestionPane* const self, const int by)
{
  const int wanted = (int)self->current + by;

  if (wanted >= 0 && wanted < (int)self->questions->len) {
    self->current = (guint)wanted;
    show_current(self);
  }
}

/// Whether a question is about a place, most of all about one voice there
static int
nearness(const QfQuestion* const question, const unsigned layers, const QfTime time)
{
  const gboolean is_here =
    !qf_time_compare(question->start, time) ||
    (qf_time_compare(question->start, time) < 0 && qf_time_compare(time, question->end) < 0);
  return is_here ? 1 + !!(layers & 1U << question->layer) : 0;
}

gboolean
qf_question_pane_go_to(QfQuestionPane* const self, const unsigned layers, const QfTime time)
{
  const guint n    = self->questions->len;
  guint       best = n;
  int         most = 0;

  // From the one on show on, so that asking again goes through all of a place.
  for (guint i = 1; i <= n; ++i) {
    const guint at = (self->current + i) % n;
    // A question about the whole passage is about no place.
    const QfQuestion* const question = &g_array_index(self->questions, QfQuestion, at);
    const int near = question->stage == QF_STAGE_FRAME ? 0 : nearness(question, layers, time);
    if (near > most) {
      most = near;
      best = at;
    }
  }
  if (best == n) {
    return FALSE;
  }

  self->current = best;
  show_current(self);
  return TRUE;
}

void
qf_question_pane_focus_stages(QfQuestionPane* const self)
{
  gtk_widget_grab_focus(GTK_WIDGET(self->stages));
}

void
qf_question_pane_focus_answer(QfQuestionPane* const self)
{
  GtkWidget* const choice = gtk_widget_get_first_child(GTK_WIDGET(self->choices));

  gtk_widget_grab_focus(choice ? choice : GTK_WIDGET(self->entry));
}

static void
stage_cb(QfQuestionPane* const self)
{
  const guint row = gtk_drop_down_get_selected(self->stages);

  for (guint i = 0; !self->is_filling && i < self->questions->len; ++i) {
    if (row_of(self, g_array_index(self->questions, QfQuestion, i).stage) == row) {
      self->current = i;
      show_current(self);
      return;
    }
  }
}

void
qf_question_pane_give_hint(QfQuestionPane* const self)
{
  const QfQuestion* const question = qf_question_pane_get_current(self);

  if (question && state_of(self)->n_hints < question->n_hints) {
    ++state_of(self)->n_hints;
    show_hints(self, question);
  }
}

gboolean
qf_question_pane_answer(QfQuestionPane* const self, const char* const text)
{
  const QfQuestion* const question = qf_question_pane_get_current(self);
  bool                    is_right = false;
  QfError                 error    = {0};

  if (!question || !text[0]) {
    return FALSE;
  }
  if (qf_question_judge(question, &self->rubric, text, &is_right, &error)) {
    g_autofree char* sentence = qf_sentence_dup(error.text);
    gtk_label_set_text(self->feedback, sentence);
    return FALSE;
  }

  State* const     state    = state_of(self);
  g_autofree char* feedback = g_strdup_printf("%s %s", is_right ? "\u2713" : "\u2717",
                                              is_right ? question->right : question->wrong);
  state->is_right           = state->is_right || is_right;
  gtk_label_set_text(self->feedback, feedback);
  show_hints(self, question);
  g_signal_emit(self, signals[REPLIED], 0, self->current, text, is_right, state->n_hints);
  return is_right;
}

static void
check_cb(QfQuestionPane* const self)
{
  qf_question_pane_answer(self, gtk_editable_get_text(GTK_EDITABLE(self->entry)));
}

static void
qf_question_pane_dispose(GObject* const object)
{
  QfQuestionPane* const self = QF_QUESTION_PANE(object);

  g_clear_pointer(&self->box, gtk_widget_unparent);
  g_clear_pointer(&self->questions, g_array_unref);
  g_clear_pointer(&self->states, g_array_unref);
  G_OBJECT_CLASS(qf_question_pane_parent_class)->dispose(object);
}

static void
qf_question_pane_class_init(QfQuestionPaneClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);
  const GType           type         = G_TYPE_FROM_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_question_pane_dispose;
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-question-pane.ui");
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, box);
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, stages);
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, stage);
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, prompt);
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, choices);
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, typing);
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, entry);
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, from_staff);
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, sing);
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, feedback);
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, hints);
  gtk_widget_class_bind_template_child(widget_class, QfQuestionPane, hint);
  gtk_widget_class_bind_template_callback(widget_class, check_cb);
  gtk_widget_class_bind_template_callback(widget_class, stage_cb);
  signals[SHOWN] = g_signal_new("shown", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE,
                                1, G_TYPE_UINT);
  signals[REPLIED] =
    g_signal_new("replied", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 4,
                 G_TYPE_UINT, G_TYPE_STRING, G_TYPE_BOOLEAN, G_TYPE_UINT);
}

static void
qf_question_pane_init(QfQuestionPane* const self)
{
  self->questions = g_array_new(FALSE, TRUE, sizeof(QfQuestion));
  self->states    = g_array_new(FALSE, TRUE, sizeof(State));
  self->rubric    = qf_rubric_default();
  gtk_widget_init_template(GTK_WIDGET(self));
}
