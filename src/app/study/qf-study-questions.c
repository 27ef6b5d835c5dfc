// SPDX-License-Identifier: MIT
#include "qf-study-private.h"

#include <stdlib.h>

static QfAnswer*
answer_of(const QfStudyWindow* const self)
{
  return qf_answer_item_get_answer(self->item);
}

/// The lesson's own questions, or those its labels ask for (transfer full, free())
static QfQuestion*
dup_questions(QfLesson* const lesson, size_t* const n_questions, QfError* const error)
{
  QfQuestion*  made = NULL;
  const size_t n    = qf_lesson_n_questions(lesson);

  if (!n) {
    qf_questions_make(lesson, &made, n_questions, error);
    return made;
  }

  made         = calloc(n, sizeof(*made));
  *n_questions = made ? n : 0;
  for (size_t i = 0; made && i < n; ++i) {
    made[i] = *qf_lesson_get_question(lesson, i);
  }
  return made;
}

static void
fill_questions(QfStudyWindow* const self)
{
  QfLesson* const lesson      = qf_answer_item_get_lesson(self->item);
  size_t          n_questions = 0;
  QfError         error       = {0};

  if (!qf_answer_get_study(answer_of(self)).has_questions) {
    qf_question_pane_set_placeholder(self->questions, "This task is set without questions.");
    return;
  }

  QfQuestion* const questions = dup_questions(lesson, &n_questions, &error);
  if (n_questions) {
    qf_question_pane_set_questions(self->questions, questions, n_questions,
                                   qf_lesson_get_rubric(lesson));
  } else {
    qf_question_pane_set_placeholder(
      self->questions, error.text[0] ? error.text : "There is nothing to ask about this passage.");
  }
  free(questions);
}

/// Put the caret where the question points, in the voice it speaks of
static void
shown_cb(QfStudyWindow* const self, const guint place)
{
  const QfQuestion* const question = qf_question_pane_get_current(self->questions);

  (void)place;
  if (qf_sing_strip_is_answer(self->sing)) {
    qf_study_end_singing(self);
  }
  if (question && !self->keeps_caret) {
    const bool is_line = question->layer == QF_LAYER_BASS || question->layer == QF_LAYER_SOPRANO;
    qf_study_set_caret(self, is_line ? qf_study_voice_of(self, question->layer) : self->caret.voice,
                       question->start);
  }
}

static void
replied_cb(QfStudyWindow* const self,
           const guint          place,
           const char* const    text,
           const gboolean       is_right,
           const guint          n_hints)
{
  const QfQuestion* const question = qf_question_pane_get_current(self->questions);
  g_autofree char*        now      = qf_now_dup();
  QfError                 error    = {0};

  (void)place;
  if (question && !qf_answer_is_read_only(answer_of(self))) {
    qf_answer_item_finish(
      self->item,
      qf_answer_add_reply(answer_of(self), now, question->id, text, is_right, (int)n_hints, &error),
      &error);
  }
}

static void
show_pane(QfStudyWindow* const self)
{
  adw_flap_set_reveal_flap(self->flap, TRUE);
  gtk_stack_set_visible_child_name(self->side_stack, "questions");
}

static void
step_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self  = data;
  const bool           is_on = g_str_equal(g_action_get_name(G_ACTION(action)), "next-question");

  (void)parameter;
  show_pane(self);
  qf_question_pane_step(self->questions, is_on ? 1 : -1);
}

static void
stages_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  (void)parameter;
  show_pane(self);
  qf_question_pane_focus_stages(self->questions);
}

static void
answer_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  (void)parameter;
  show_pane(self);
  qf_question_pane_focus_answer(self->questions);
}

/// Layers that the voice at the caret is part of
static unsigned
layers_at_caret(const QfStudyWindow* const self)
{
  const size_t voice = self->caret.voice;

  return voice == qf_study_voice_of(self, QF_LAYER_BASS)      ? 1U << QF_LAYER_BASS
         : voice == qf_study_voice_of(self, QF_LAYER_SOPRANO) ? 1U << QF_LAYER_SOPRANO
                                                              : 1U << QF_LAYER_INNER;
}

/// The caret stays, so that asking again goes on with the same place
static void
here_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  (void)parameter;
  show_pane(self);
  self->keeps_caret = TRUE;
  if (!qf_question_pane_go_to(self->questions, layers_at_caret(self), self->caret.time)) {
    qf_study_toast(self, "Nothing is asked about this place");
  }
  self->keeps_caret = FALSE;
}

static void
hint_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  qf_question_pane_give_hint(QF_STUDY_WINDOW(data)->questions);
}

static void
answer_with_note_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const    self     = data;
  const QfTry* const      attempt  = qf_answer_item_get_try(self->item);
  const QfQuestion* const question = qf_question_pane_get_current(self->questions);
  const QfNote* const     note =
    attempt ? qf_score_note_at(qf_try_get_score(attempt), self->caret.voice, self->caret.time)
                : NULL;
  char text[32];

  (void)action;
  (void)parameter;
  if (!note || !question) {
    qf_study_toast(self, "There is no note at the caret to answer with");
    return;
  }

  if (question->form == QF_ASK_NOTE) {
    qf_pitch_write(note->pitch, text, sizeof(text));
  } else {
    qf_scale_degree_write(qf_pitch_name(note->pitch), question->key, false, text, sizeof(text));
  }
  qf_question_pane_answer(self->questions, text);
}

void
qf_study_add_question_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "next-question", .activate = step_cb},
    {.name = "question-before", .activate = step_cb},
    {.name = "question-stages", .activate = stages_cb},
    {.name = "question-here", .activate = here_cb},
    {.name = "answer-question", .activate = answer_cb},
    {.name = "hint", .activate = hint_cb},
    {.name = "answer-with-note", .activate = answer_with_note_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  fill_questions(self);
  g_signal_connect_object(self->questions, "shown", G_CALLBACK(shown_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(self->questions, "replied", G_CALLBACK(replied_cb), self,
                          G_CONNECT_SWAPPED);
}
