// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "page/qf-note-entry.h"

static const QfScore*
score_of(const QfWindow* const self)
{
  return qf_lesson_item_get_score(self->item);
}

static void
move_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)parameter;
  qf_window_set_caret(
    self, self->caret.voice,
    qf_entry_move(score_of(self), g_action_get_name(G_ACTION(action)), self->caret.time));
}

static void
voice_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)parameter;
  qf_window_set_caret(self,
                      qf_entry_voice_beside(g_action_get_name(G_ACTION(action)), self->caret.voice),
                      self->caret.time);
}

static void
value_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  self->caret.value = qf_entry_value(g_variant_get_int32(parameter));
  g_simple_action_set_state(action, g_variant_new_int32(self->caret.value));
}

static void
dotted_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self = data;

  self->caret.is_dotted = g_variant_get_boolean(state);
  g_simple_action_set_state(action, state);
}

/// A click puts the caret on a note or place; a second one writes a note there
static void
picked_cb(QfWindow* const self, const double x, const double y, const int n_press)
{
  const QfScore* const score = score_of(self);
  QfHit                hit   = {0};
  size_t               voice = self->caret.voice;

  if (!qf_passage_view_hit(self->passage, x, y, &hit)) {
    return;
  }

  const QfNote* const note = qf_score_find_note(score, hit.note, &voice);
  if (qf_window_is_extending(self)) {
    const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
    qf_window_extend_selection(
      self, labels ? qf_labels_link_at(labels, note ? note->start : hit.time) : SIZE_MAX);
    return;
  }
  if (note) {
    qf_window_set_caret(self, voice, note->start);
    qf_window_sound_pitches(self, &note->pitch, 1, 0.8);
    return;
  }

  const QfCaret there = qf_entry_point(score, self->caret, hit.staff, hit.step, hit.time);
  qf_window_set_caret(self, there.voice, there.time);
  if (n_press == 2) {
    QfError        error = {0};
    const QfPitch  pitch = qf_entry_pitch_at_step(score, hit.time, hit.step);
    const QfStatus st =
      qf_lesson_put_note(qf_lesson_item_get_lesson(self->item), there.voice, hit.time,
                         qf_caret_duration(self->caret), pitch, NULL, &error);
    if (qf_lesson_item_finish(self->item, st, &error)) {
      qf_window_sound_pitches(self, &pitch, 1, 0.8);
    }
  }
}

/// Dragged up or down a note changes its pitch, sideways its time
static void
dragged_cb(QfWindow* const self, const guint id, const double x, const double y)
{
  const QfScore* const score  = score_of(self);
  QfLesson* const      lesson = qf_lesson_item_get_lesson(self->item);
  size_t               voice  = 0;
  QfHit                hit    = {0};
  QfError              error  = {0};
  const QfNote* const  note   = qf_score_find_note(score, id, &voice);

  if (!note || !qf_passage_view_hit(self->passage, x, y, &hit)) {
    return;
  }

  const int steps = hit.step - qf_pitch_step(note->pitch);
  if (hit.staff == qf_score_get_voice(score, voice)->staff && steps) {
    const QfPitch pitch =
      qf_pitch_move_steps(note->pitch, steps, qf_score_signature_at(score, note->start));
    const QfStatus st = qf_lesson_set_pitch(lesson, id, pitch, &error);
    if (qf_lesson_item_finish(self->item, st, &error)) {
      qf_window_sound_pitches(self, &pitch, 1, 0.8);
    }
  } else if (qf_time_compare(hit.time, note->start) < 0 ||
             qf_time_compare(hit.time, qf_time_add(note->start, note->duration)) >= 0) {
    const QfStatus st = qf_lesson_move_note(lesson, id, hit.time, &error);
    if (qf_lesson_item_finish(self->item, st, &error)) {
      qf_window_set_caret(self, voice, hit.time);
    }
  }
}

void
qf_window_add_caret_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "caret-left", .activate = move_cb},
    {.name = "caret-right", .activate = move_cb},
    {.name = "caret-bar-left", .activate = move_cb},
    {.name = "caret-bar-right", .activate = move_cb},
    {.name = "caret-start", .activate = move_cb},
    {.name = "caret-end", .activate = move_cb},
    {.name = "voice-up", .activate = voice_cb},
    {.name = "voice-down", .activate = voice_cb},
    {.name = "value", .activate = value_cb, .parameter_type = "i", .state = "2"},
    {.name = "dotted", .change_state = dotted_cb, .state = "false"},
  };
  QfScoreView* const view = qf_passage_view_get_score_view(self->passage);

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_object(view, "picked", G_CALLBACK(picked_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(view, "dragged", G_CALLBACK(dragged_cb), self, G_CONNECT_SWAPPED);
}
