// SPDX-License-Identifier: MIT
// Going through what differs, and hearing it: the answer, then the passage.
#include "qf-study-private.h"

static const guint between_ms = 150; ///< How often it is asked whether the answer has ended

static const QfScore*
passage_of(const QfStudyWindow* const self)
{
  return qf_comparison_get_score(self->comparison);
}

static const QfDifference*
current_difference(const QfStudyWindow* const self)
{
  return self->grade && self->difference < qf_grade_n_differences(self->grade)
           ? qf_grade_get_difference(self->grade, self->difference)
           : NULL;
}

static const QfVerdict*
verdict_of(const QfStudyWindow* const self, const QfDifference* const difference)
{
  return qf_grade_get_verdict(self->grade, difference->verdict);
}

static gboolean
is_of_chords(const QfVerdict* const verdict)
{
  return verdict->layer == QF_LAYER_QUALITY || verdict->layer == QF_LAYER_NUMERAL;
}

// ---- showing

void
qf_study_end_comparison(QfStudyWindow* const self)
{
  qf_study_stop(self);
  qf_compare_view_show(self->compare, NULL, self->zoom, QF_NAMING_ENGLISH);
  g_clear_pointer(&self->comparison, qf_comparison_free);
  gtk_stack_set_visible_child_name(self->pages, "write");
}

void
qf_study_show_comparison(QfStudyWindow* const self)
{
  const QfTry* const attempt = qf_answer_item_get_try(self->item);
  QfComparison*      fresh   = NULL;
  QfError            error   = {0};

  if (qf_comparison_new(qf_answer_item_get_lesson(self->item), attempt, self->grade, &fresh,
                        &error)) {
    qf_study_toast(self, error.text);
    return;
  }
  qf_compare_view_show(self->compare, fresh, self->zoom,
                       qf_preferences_get_view(self->preferences).naming);
  qf_comparison_free(self->comparison);
  self->comparison = fresh;
  self->difference = SIZE_MAX;
  qf_compare_view_choose(self->compare, self->difference);
  gtk_stack_set_visible_child_name(self->pages, "compare");
  qf_compare_view_grab_focus(self->compare);
}

void
qf_study_choose_difference(QfStudyWindow* const self, const size_t index)
{
  self->difference                     = index;
  const QfDifference* const difference = current_difference(self);

  qf_study_stop(self);
  qf_compare_view_begin_hearing(self->compare);
  if (difference && self->comparison) {
    const QfVerdict* const verdict = verdict_of(self, difference);
    const size_t           bass    = qf_score_n_voices(passage_of(self));
    const size_t           voice   = is_of_chords(verdict) ? (bass ? bass - 1 : 0) : verdict->voice;
    qf_study_set_caret(self, voice, difference->place);
    qf_compare_view_choose(self->compare, index);
    qf_result_pane_choose(self->result, difference->verdict);
  }
}

/// The next difference in a layer that is shown, or SIZE_MAX if there is none
static size_t
step(const QfStudyWindow* const self, const gboolean is_forward)
{
  const size_t n    = qf_grade_n_differences(self->grade);
  size_t       next = self->difference;

  for (size_t i = 0; i < n; ++i) {
    if (is_forward) {
      next = next == SIZE_MAX || next + 1 >= n ? 0 : next + 1;
    } else {
      next = next == SIZE_MAX || next == 0 ? n - 1 : next - 1;
    }
    if (qf_compare_view_has(self->compare, next)) {
      return next;
    }
  }
  return SIZE_MAX;
}

static gboolean
go_on(QfStudyWindow* const self, const gboolean is_forward)
{
  if (!self->comparison) {
    qf_study_toast(self, "Grade the attempt first");
    return FALSE;
  }

  const size_t next = step(self, is_forward);
  if (next == SIZE_MAX) {
    qf_study_toast(self, "Nothing differs in the layers that are shown");
    return FALSE;
  }
  qf_study_choose_difference(self, next);
  return TRUE;
}

static void
step_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)parameter;
  go_on(data, g_str_equal(g_action_get_name(G_ACTION(action)), "next-difference"));
}

static void
picked_cb(QfStudyWindow* const self, const guint voice, const gint64 num, const gint64 den)
{
  const QfTime place = qf_time(num, den);

  qf_study_set_caret(self, voice, place);
  for (size_t i = 0; i < qf_grade_n_differences(self->grade); ++i) {
    const QfDifference* const difference = qf_grade_get_difference(self->grade, i);
    const QfVerdict* const    verdict    = verdict_of(self, difference);
    if (!qf_time_compare(difference->place, place) && !is_of_chords(verdict) &&
        verdict->voice == voice) {
      qf_study_choose_difference(self, i);
      return;
    }
  }
}

/// What is hidden is not gone through, and not counted
static void
toggled_cb(QfStudyWindow* const self)
{
  if (!qf_compare_view_has(self->compare, self->difference)) {
    self->difference = SIZE_MAX;
  }
  qf_compare_view_choose(self->compare, self->difference);
}

// ---- hearing

/// The voice whose scale of time is good for what is heard
static size_t
line_of(const QfStudyWindow* const self)
{
  const QfDifference* const difference = current_difference(self);
  const size_t              n          = qf_score_n_voices(passage_of(self));

  return difference && !is_of_chords(verdict_of(self, difference))
           ? verdict_of(self, difference)->voice
         : n ? n - 1
             : 0;
}

void
qf_study_show_heard(QfStudyWindow* const self, const gboolean is_playing, QfTime time)
{
  if (!self->comparison) {
    return;
  }

  const QfHeardPage page = self->hears_solution ? QF_HEARD_PASSAGE : self->heard;
  if (page == QF_HEARD_ANSWER && !self->heard_chord && time.num >= 0) {
    time = qf_comparison_place_of(self->comparison, line_of(self), time);
  }
  if (self->heard_chord) {
    const QfDifference* const difference = current_difference(self);
    time                                 = difference ? difference->place : qf_time(-1, 1);
  }
  qf_compare_view_set_playing(self->compare, is_playing ? page : QF_HEARD_NOTHING, time);
}

static gboolean
has_notes(const QfScore* const score, const QfTime from, const QfTime to)
{
  const gboolean is_whole = !qf_time_compare(from, to);

  for (size_t v = 0; score && v < qf_score_n_voices(score); ++v) {
    for (size_t i = 0; i < qf_score_n_notes(score, v); ++i) {
      const QfNote* const note = qf_score_get_note(score, v, i);
      if (is_whole || (qf_time_compare(note->start, to) < 0 &&
                       qf_time_compare(from, qf_time_add(note->start, note->duration)) < 0)) {
        return TRUE;
      }
    }
  }
  return FALSE;
}

static void
sound(QfStudyWindow* const self, const QfHeardPage page)
{
  const QfToHear* const to_hear = &self->to_hear[page];

  if (to_hear->is_chord) {
    qf_study_sound_chord(self, to_hear->chord);
  } else {
    qf_study_sound_score(self, to_hear->score, to_hear->from, to_hear->to);
  }
  self->heard       = page; // Starting stops, and so forgets, what was heard before
  self->heard_chord = to_hear->is_chord;
}

static gboolean
hear_passage_cb(gpointer data)
{
  QfStudyWindow* const self = data;

  if (self->player && qf_player_is_playing(self->player)) {
    return G_SOURCE_CONTINUE;
  }
  self->second_half = 0;
  sound(self, QF_HEARD_PASSAGE);
  return G_SOURCE_REMOVE;
}

static void
hear(QfStudyWindow* const self, const QfToHear answer, const QfToHear passage)
{
  qf_study_stop(self);
  qf_compare_view_begin_hearing(self->compare);
  self->to_hear[QF_HEARD_ANSWER]  = answer;
  self->to_hear[QF_HEARD_PASSAGE] = passage;
  if (answer.is_chord || has_notes(answer.score, answer.from, answer.to)) {
    sound(self, QF_HEARD_ANSWER);
    self->second_half = g_timeout_add(between_ms, hear_passage_cb, self);
  } else {
    sound(self, QF_HEARD_PASSAGE);
  }
}

/// Both chords of a quality or numeral, in close position; false if there is nothing to compare
static gboolean
hear_chords(QfStudyWindow* const self, const QfVerdict* const verdict)
{
  const QfLabels* const labels = qf_lesson_get_labels(qf_answer_item_get_lesson(self->item));

  if (verdict->link == SIZE_MAX || verdict->link >= qf_labels_n_links(labels)) {
    return FALSE;
  }
  hear(self, (QfToHear){.is_chord = verdict->has_chord, .chord = verdict->chord},
       (QfToHear){.is_chord = TRUE, .chord = qf_labels_get_link(labels, verdict->link)->chord});
  return TRUE;
}

static void
hear_stretch(QfStudyWindow* const self,
             const QfTime         from,
             const QfTime         to,
             const QfTime         answer_from,
             const QfTime         answer_to)
{
  hear(self,
       (QfToHear){.score = qf_comparison_get_written(self->comparison),
                  .from  = qf_time_max(answer_from, QF_TIME_ZERO),
                  .to    = qf_time_max(answer_to, QF_TIME_ZERO)},
       (QfToHear){.score = passage_of(self), .from = from, .to = to});
}

static void
hear_difference_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  (void)parameter;
  if (!current_difference(self) && !go_on(self, TRUE)) {
    return;
  }

  const QfDifference* const difference = current_difference(self);
  const QfVerdict* const    verdict    = verdict_of(self, difference);
  if (!is_of_chords(verdict) || !hear_chords(self, verdict)) {
    hear_stretch(self, difference->from, difference->to, difference->answer_from,
                 difference->answer_to);
  }
}

static void
hear_bar_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  (void)parameter;
  if (!self->comparison) {
    qf_study_toast(self, "Grade the attempt first");
    return;
  }

  const QfScore* const score = passage_of(self);
  const QfBar* const   bar   = qf_score_get_bar(score, qf_score_bar_at(score, self->caret.time));
  const QfTime         end   = qf_time_add(bar->start, bar->length);
  const size_t         line  = line_of(self);
  hear_stretch(self, bar->start, end, qf_comparison_written_of(self->comparison, line, bar->start),
               qf_comparison_written_of(self->comparison, line, end));
}

static void
hear_whole_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  (void)parameter;
  if (!self->comparison) {
    qf_study_toast(self, "Grade the attempt first");
    return;
  }
  hear_stretch(self, QF_TIME_ZERO, QF_TIME_ZERO, QF_TIME_ZERO, QF_TIME_ZERO);
}

void
qf_study_add_compare_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "next-difference", .activate = step_cb},
    {.name = "previous-difference", .activate = step_cb},
    {.name = "hear-difference", .activate = hear_difference_cb},
    {.name = "hear-difference-bar", .activate = hear_bar_cb},
    {.name = "hear-difference-whole", .activate = hear_whole_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_object(self->compare, "picked", G_CALLBACK(picked_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(self->compare, "toggled", G_CALLBACK(toggled_cb), self,
                          G_CONNECT_SWAPPED);
}
