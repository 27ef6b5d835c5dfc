// SPDX-License-Identifier: MIT
#include "qf-study-private.h"

#include "page/qf-note-mark.h"
#include "practice/qf-record.h"

static QfAnswer*
answer_of(const QfStudyWindow* const self)
{
  return qf_answer_item_get_answer(self->item);
}

// ---- marks on the page

void
qf_study_show_doubts(QfStudyWindow* const self)
{
  const QfTry* const   attempt = qf_answer_item_get_try(self->item);
  const QfScore* const score   = attempt ? qf_try_get_score(attempt) : NULL;
  GArray* const        rings   = g_array_new(FALSE, FALSE, sizeof(QfNoteRing));

  for (size_t v = 0; score && v < qf_score_n_voices(score); ++v) {
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      const QfNote* const note = qf_score_get_note(score, v, i);
      const QfNoteRing    ring = {note->id, note->start, qf_time_add(note->start, note->duration),
                                  QF_SEVERITY_INFO, FALSE};
      if (qf_try_is_doubtful(attempt, note->id)) {
        g_array_append_val(rings, ring);
      }
    }
  }
  qf_score_view_take_rings(qf_study_sheet_get_score_view(self->sheet), rings);
}

// ---- the practice record

static void
record_practice(QfStudyWindow* const self)
{
  const size_t          n        = qf_grade_n_tallies(self->grade);
  g_autofree QfAttempt* attempts = g_new0(QfAttempt, n + 1);
  size_t                n_asked  = 0;

  for (size_t i = 0; i < n; ++i) {
    const QfTally* const tally = qf_grade_get_tally(self->grade, i);
    if (tally->asked > 0) {
      QfAttempt* const attempt = &attempts[n_asked++];
      g_strlcpy(attempt->concept, tally->concept, sizeof(attempt->concept));
      attempt->right = tally->right;
      attempt->asked = tally->asked;
    }
  }

  g_autofree char* trouble = qf_record_attempts(attempts, n_asked);
  if (trouble) {
    qf_study_toast(self, trouble);
  }
}

// ---- grading

void
qf_study_drop_grade(QfStudyWindow* const self)
{
  qf_study_end_comparison(self);
  g_clear_pointer(&self->grade, qf_grade_free);
  self->difference = SIZE_MAX;
  qf_result_pane_show(self->result, NULL);
}

/// Grade the last attempt and show the result; gives false after saying why not
static gboolean
grade_attempt(QfStudyWindow* const self)
{
  const QfGradeOptions options = {
    .attempt = QF_LAST_ATTEMPT,
    .naming  = qf_preferences_get_view(self->preferences).naming,
  };
  QfGrade* grade = NULL;
  QfError  error = {0};

  // The numeral being typed is part of the answer.
  gtk_window_set_focus(GTK_WINDOW(self), NULL);
  if (qf_grade_new(qf_answer_item_get_lesson(self->item), answer_of(self), options, &grade,
                   &error)) {
    qf_study_toast(self, error.text);
    return FALSE;
  }

  qf_study_end_comparison(self);
  qf_grade_free(self->grade);
  self->grade = grade;
  qf_result_pane_show(self->result, grade);
  qf_study_show_comparison(self);
  qf_study_refresh(self);
  // Folded it would lie over the staves, and each reason stands under them anyway.
  if (!adw_flap_get_folded(self->flap)) {
    adw_flap_set_reveal_flap(self->flap, TRUE);
  }
  gtk_stack_set_visible_child_name(self->side_stack, "result");
  return TRUE;
}

void
qf_study_window_review(QfStudyWindow* const self)
{
  grade_attempt(self);
}

static void
grade_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self       = data;
  const bool           was_graded = self->grade != NULL;

  (void)action;
  (void)parameter;
  if (!qf_answer_get_study(answer_of(self)).shows_result) {
    qf_study_toast(self, "This task is graded by the teacher; save a copy to hand in");
  } else if (grade_attempt(self) && !was_graded) {
    record_practice(self);
  }
}

/// A row of the list is a difference to go to
static void
chosen_cb(QfStudyWindow* const self, const guint verdict)
{
  for (size_t i = 0; self->grade && i < qf_grade_n_differences(self->grade); ++i) {
    if (qf_grade_get_difference(self->grade, i)->verdict == verdict) {
      qf_study_choose_difference(self, i);
      return;
    }
  }
}

static void
new_attempt_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self  = data;
  g_autofree char*     now   = qf_now_dup();
  QfError              error = {0};

  (void)action;
  (void)parameter;
  // The comparison lends the attempt, which moves as another one is added.
  qf_study_end_comparison(self);
  if (!qf_answer_item_finish(self->item,
                             qf_answer_begin_attempt(answer_of(self), now, true, &error), &error)) {
    if (self->grade) {
      qf_study_show_comparison(self);
    }
  } else {
    qf_study_drop_grade(self);
    qf_study_refresh(self);
    gtk_widget_grab_focus(GTK_WIDGET(qf_study_sheet_get_score_view(self->sheet)));
    qf_study_toast(self, "Another attempt begins with what the last one had; that one is kept");
  }
}

void
qf_study_add_result_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "grade", .activate = grade_cb},
    {.name = "new-attempt", .activate = new_attempt_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_object(self->result, "chosen", G_CALLBACK(chosen_cb), self, G_CONNECT_SWAPPED);
}
