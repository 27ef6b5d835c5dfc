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

/// How gravely a verdict is shown: the ring's severity
static QfSeverity
severity_of(const QfVerdictKind kind)
{
  switch (kind) {
    case QF_VERDICT_RIGHT:
      return QF_SEVERITY_OFF;
    case QF_VERDICT_PARTLY:
      return QF_SEVERITY_WARNING;
    default:
      return QF_SEVERITY_ERROR;
  }
}

static void
add_ring(GArray* const rings, const QfNote* const note, const QfSeverity severity)
{
  const QfNoteRing ring = {note->id, note->start, qf_time_add(note->start, note->duration),
                           severity, FALSE};
  g_array_append_val(rings, ring);
}

/// Before the grade the doubts are marked, afterwards what was not right
static QfSeverity
ring_of(const QfStudyWindow* const self, const QfTry* const attempt, const uint32_t note)
{
  if (!self->grade) {
    return qf_try_is_doubtful(attempt, note) ? QF_SEVERITY_INFO : QF_SEVERITY_OFF;
  }

  const QfVerdict* const verdict = qf_grade_verdict_of_note(self->grade, note);
  return verdict ? severity_of(verdict->kind) : QF_SEVERITY_OFF;
}

static const char*
class_of(const QfStudyWindow* const self, const QfLayer layer, const QfTime start)
{
  const QfVerdict* const verdict =
    self->grade ? qf_grade_verdict_of_chord(self->grade, layer, start) : NULL;

  if (!verdict) {
    return NULL;
  }
  switch (verdict->kind) {
    case QF_VERDICT_RIGHT:
      return "success";
    case QF_VERDICT_PARTLY:
      return "warning";
    default:
      return "error";
  }
}

void
qf_study_show_verdicts(QfStudyWindow* const self)
{
  const QfTry* const   attempt = qf_answer_item_get_try(self->item);
  const QfScore* const score   = attempt ? qf_try_get_score(attempt) : NULL;
  GArray* const        rings   = g_array_new(FALSE, FALSE, sizeof(QfNoteRing));
  QfChordRow* const    row     = qf_study_sheet_get_chord_row(self->sheet);

  for (size_t v = 0; score && v < qf_score_n_voices(score); ++v) {
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      const QfNote* const note     = qf_score_get_note(score, v, i);
      const QfSeverity    severity = ring_of(self, attempt, note->id);
      if (severity != QF_SEVERITY_OFF) {
        add_ring(rings, note, severity);
      }
    }
  }
  qf_score_view_take_rings(qf_study_sheet_get_score_view(self->sheet), rings);

  for (guint i = 0; i < qf_study_sheet_n_spans(self->sheet); ++i) {
    const QfTime start = qf_study_sheet_get_span(self->sheet, i);
    qf_chord_row_mark(row, i, class_of(self, QF_LAYER_QUALITY, start),
                      class_of(self, QF_LAYER_NUMERAL, start));
  }
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
  g_clear_pointer(&self->grade, qf_grade_free);
  self->difference = 0;
  qf_result_pane_show(self->result, NULL);
  gtk_widget_set_visible(self->solution_title, FALSE);
  gtk_widget_set_visible(GTK_WIDGET(self->solution), FALSE);
}

/// The passage itself under the answer, on its own staves
static void
show_solution(QfStudyWindow* const self)
{
  QfLesson* const lesson = qf_answer_item_get_lesson(self->item);
  QfViewSettings  view   = qf_preferences_get_view(self->preferences);

  view.zoom *= 0.8;
  gtk_widget_set_visible(self->solution_title, TRUE);
  gtk_widget_set_visible(GTK_WIDGET(self->solution), TRUE);
  gtk_widget_set_visible(GTK_WIDGET(qf_passage_view_get_entry(self->solution)), FALSE);
  qf_passage_view_show(self->solution, qf_lesson_get_score(lesson), qf_lesson_get_labels(lesson),
                       view);
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

  qf_grade_free(self->grade);
  self->grade      = grade;
  self->difference = 0;
  qf_result_pane_show(self->result, grade);
  show_solution(self);
  qf_study_refresh(self);
  qf_chord_row_set_editable(qf_study_sheet_get_chord_row(self->sheet), FALSE);
  adw_flap_set_reveal_flap(self->flap, TRUE);
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

static void
chosen_cb(QfStudyWindow* const self, const guint index)
{
  const QfVerdict* const verdict = self->grade && index < qf_grade_n_verdicts(self->grade)
                                     ? qf_grade_get_verdict(self->grade, index)
                                     : NULL;

  if (verdict) {
    const bool has_voice = verdict->layer != QF_LAYER_QUALITY && verdict->layer != QF_LAYER_NUMERAL;
    qf_study_set_caret(self, has_voice ? verdict->voice : self->caret.voice, verdict->answer_start);
  }
}

// ---- hearing what differs

static gboolean
hear_original_cb(gpointer data)
{
  QfStudyWindow* const      self = data;
  const QfDifference* const difference =
    self->grade && self->difference < qf_grade_n_differences(self->grade)
      ? qf_grade_get_difference(self->grade, self->difference)
      : NULL;

  if (!difference) {
    self->second_half = 0;
    return G_SOURCE_REMOVE;
  }
  if (self->player && qf_player_is_playing(self->player)) {
    return G_SOURCE_CONTINUE;
  }

  self->second_half = 0;
  qf_study_sound_score(self, qf_lesson_get_score(qf_answer_item_get_lesson(self->item)),
                       difference->from, difference->to);
  ++self->difference;
  return G_SOURCE_REMOVE;
}

static void
hear_difference_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self    = data;
  const QfTry* const   attempt = qf_answer_item_get_try(self->item);

  (void)action;
  (void)parameter;
  if (!self->grade) {
    qf_study_toast(self, "Grade the attempt first");
    return;
  }
  if (!qf_grade_n_differences(self->grade)) {
    qf_study_toast(self, "Nothing differs");
    return;
  }

  self->difference %= qf_grade_n_differences(self->grade);
  const QfDifference* const difference = qf_grade_get_difference(self->grade, self->difference);
  qf_study_set_caret(self, self->caret.voice, difference->answer_from);
  qf_study_stop(self);
  if (difference->has_notes && attempt) {
    qf_study_sound_score(self, qf_try_get_score(attempt), difference->answer_from,
                         difference->answer_to);
  }
  self->second_half = g_timeout_add(150, hear_original_cb, self);
}

static void
new_attempt_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self  = data;
  g_autofree char*     now   = qf_now_dup();
  QfError              error = {0};

  (void)action;
  (void)parameter;
  if (qf_answer_item_finish(self->item, qf_answer_begin_attempt(answer_of(self), now, true, &error),
                            &error)) {
    qf_study_drop_grade(self);
    qf_chord_row_set_editable(qf_study_sheet_get_chord_row(self->sheet), TRUE);
    qf_study_refresh(self);
    qf_study_toast(self, "Another attempt begins with what the last one had; that one is kept");
  }
}

void
qf_study_add_result_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "grade", .activate = grade_cb},
    {.name = "hear-difference", .activate = hear_difference_cb},
    {.name = "new-attempt", .activate = new_attempt_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_object(self->result, "chosen", G_CALLBACK(chosen_cb), self, G_CONNECT_SWAPPED);
}
