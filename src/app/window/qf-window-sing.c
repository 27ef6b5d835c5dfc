// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "common/qf-message.h"

enum {
  FIRST_NOTE_MS = 1600, ///< The starting note has died away by then
};

static const double first_note_s = 1.2;

static const QfNote*
first_note(const QfWindow* const self)
{
  const QfScore* const score   = qf_lesson_item_get_score(self->item);
  const bool           has_end = qf_time_compare(self->sing_from, self->sing_to) < 0;

  if (self->sing_voice >= qf_score_n_voices(score)) {
    return NULL;
  }
  for (size_t i = 0; i < qf_score_n_notes(score, self->sing_voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, self->sing_voice, i);
    if (qf_time_compare(note->start, self->sing_from) >= 0) {
      return !has_end || qf_time_compare(note->start, self->sing_to) < 0 ? note : NULL;
    }
  }
  return NULL;
}

static void
listen(QfWindow* const self)
{
  const QfSingView view  = {.sung   = {.tuning = qf_window_get_tuning(self), .any_octave = true},
                            .naming = qf_preferences_get_view(self->preferences).naming};
  QfError          error = {0};

  if (qf_sing_strip_begin(self->sing, qf_lesson_item_get_score(self->item), self->sing_voice,
                          self->sing_from, self->sing_to, view, &error)) {
    gtk_widget_set_visible(GTK_WIDGET(self->sing), TRUE);
  } else {
    g_autofree char* text = qf_sentence_dup(error.text);
    qf_window_end_singing(self);
    qf_window_toast(self, text);
  }
}

static gboolean
listen_cb(gpointer data)
{
  QfWindow* const self = data;

  self->sing_timeout = 0;
  listen(self);
  return G_SOURCE_REMOVE;
}

void
qf_window_end_singing(QfWindow* const self)
{
  g_clear_handle_id(&self->sing_timeout, g_source_remove);
  qf_sing_strip_end(self->sing);
  gtk_widget_set_visible(GTK_WIDGET(self->sing), FALSE);
}

/// The first note is given, then the selection, or all from the caret on, is sung
static void
sing_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  self->sing_voice = self->caret.voice;
  if (!qf_window_get_selection(self, &self->sing_from, &self->sing_to)) {
    self->sing_from = self->caret.time;
    self->sing_to   = QF_TIME_ZERO;
  }

  const QfNote* const note = first_note(self);
  if (!note) {
    qf_window_toast(self, "This voice has no notes to sing from the caret on");
    return;
  }
  qf_window_end_singing(self);
  qf_window_stop(self); // The microphone would hear it
  qf_window_give_pitch(self, note->pitch, first_note_s);
  self->sing_timeout = g_timeout_add(FIRST_NOTE_MS, listen_cb, self);
}

/// When the starting note of a gap is over: it sounds for one beat
static double
sung_from_s(const QfPerformedStep* const step)
{
  const QfTime beat = step->metre.n_groups > 1
                        ? qf_metre_beat_start(step->metre, 1)
                        : qf_time(step->metre.numerator, step->metre.denominator);
  return step->start_s + qf_time_to_double(beat) * step->seconds_per_whole;
}

/// The step that sounds, if it is a gap that is to be listened to, or SIZE_MAX
static size_t
gap_now(const QfWindow* const self, const double at_s)
{
  const QfPerformance* const performance = &self->performance;

  if (!self->is_plan_loaded || !performance->n_steps ||
      !qf_preferences_get_switch(self->preferences, "sing-gaps", FALSE)) {
    return SIZE_MAX;
  }
  const size_t index = qf_performance_step_at(performance, at_s);
  return performance->steps[index].kind == QF_STEP_SUNG_GAP ? index : SIZE_MAX;
}

void
qf_window_follow_gap(QfWindow* const self, const gboolean is_playing)
{
  if (!is_playing && self->sung_step != SIZE_MAX) {
    qf_sing_strip_conclude(self->sing); // In a pause the gap does not go on
    self->sung_step = SIZE_MAX;
  }
  if (!is_playing) {
    return;
  }

  const double at_s  = qf_player_get_position(self->player);
  const size_t index = gap_now(self, at_s);
  if (index == SIZE_MAX) {
    // What was sung stays to be read, but what sounds now is not judged.
    qf_sing_strip_conclude(self->sing);
    self->sung_step = SIZE_MAX;
    return;
  }

  const QfPerformedStep* const step = &self->performance.steps[index];
  if (index != self->sung_step && at_s >= sung_from_s(step)) {
    self->sung_step  = index;
    self->sing_voice = step->voice;
    self->sing_from  = step->from;
    self->sing_to    = step->to;
    listen(self);
  }
}

static void
sing_gaps_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self = data;

  g_simple_action_set_state(action, state);
  qf_preferences_set_switch(self->preferences, "sing-gaps", g_variant_get_boolean(state));
  if (g_variant_get_boolean(state)) {
    qf_window_toast(self, "In the plan’s gaps for singing the microphone is listened to; nothing "
                          "is recorded or sent");
  }
}

static void
closed_cb(QfWindow* const self)
{
  qf_window_end_singing(self);
  gtk_widget_grab_focus(GTK_WIDGET(qf_passage_view_get_score_view(self->passage)));
}

void
qf_window_add_sing_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "sing", .activate = sing_cb},
    {.name = "sing-gaps", .change_state = sing_gaps_cb, .state = "false"},
  };

  self->sung_step = SIZE_MAX;
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  qf_window_set_state(
    self, "sing-gaps",
    g_variant_new_boolean(qf_preferences_get_switch(self->preferences, "sing-gaps", FALSE)));
  g_signal_connect_object(self->sing, "closed", G_CALLBACK(closed_cb), self, G_CONNECT_SWAPPED);
}
