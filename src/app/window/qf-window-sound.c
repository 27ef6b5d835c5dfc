// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "quintfall/slice.h"

static const double chord_seconds = 1.6;
static const double note_seconds  = 1.2; ///< Of a chord's notes one by one

/// Stop for a single chord; a plan goes on from there afterwards
static void
interrupt(QfWindow* const self)
{
  const double at_s = self->is_plan_loaded ? qf_player_get_position(self->player) : self->resume_s;

  qf_window_stop(self);
  self->resume_s = at_s;
}

/// Play something that is not the passage; its events are taken
static void
sound_events(QfWindow* const self, QfEvents* const events)
{
  interrupt(self);
  qf_player_load(self->player, events);
  qf_events_clear(events);
  qf_player_set_level(self->player, qf_hearing_bar_get_level(self->hearing));
  qf_player_set_loop(self->player, false);
  qf_player_play(self->player);
  qf_window_watch_player(self);
}

static void
sound_block(QfWindow* const      self,
            const QfPitch* const pitches,
            const size_t         n_pitches,
            const QfHearing      hearing,
            const double         seconds)
{
  QfEvents events = {0};

  if (n_pitches && qf_window_get_player(self) &&
      !qf_events_of_chord(pitches, n_pitches, hearing, seconds, &events)) {
    sound_events(self, &events);
  }
}

/// Chords of four voices in half notes
static QfScore*
make_score(const QfVoicing* const voicings, const size_t n_voicings)
{
  static const QfKey  key    = {{0, 0}, QF_MAJOR};
  static const QfTime length = {1, 2};
  QfMetre             metre  = {0};
  qf_metre(4, 4, &metre);
  QfScore* const score = qf_score_new_satb(key, metre, QF_TIME_ZERO, 1);

  for (size_t i = 0; score && i < n_voicings; ++i) {
    const QfTime start = qf_time_mul(length, qf_time((int64_t)i, 1));
    for (size_t v = 0; v < QF_SATB; ++v) {
      qf_score_put_note(score, v, start, length, voicings[i].pitch[v], QF_NO_NOTE, NULL);
    }
  }
  return score;
}

void
qf_window_sound_score(QfWindow* const self, const QfScore* const score)
{
  const QfKey     key     = qf_score_signature_at(score, QF_TIME_ZERO);
  const QfHearing plan    = qf_window_hearing_now(self);
  QfHearing       hearing = qf_hearing_default();
  QfEvents        events  = {0};

  hearing.program  = plan.program;
  hearing.level_db = plan.level_db;
  if (qf_window_get_player(self) &&
      !qf_events_of(score, NULL, key, hearing, QF_TIME_ZERO, QF_TIME_ZERO, &events)) {
    sound_events(self, &events);
  }
}

void
qf_window_sound_voicings(QfWindow* const        self,
                         const QfVoicing* const voicings,
                         const size_t           n_voicings)
{
  QfScore* const score = make_score(voicings, n_voicings);

  if (score) {
    qf_window_sound_score(self, score);
  }
  qf_score_free(score);
}

void
qf_window_sound_pitches(QfWindow* const      self,
                        const QfPitch* const pitches,
                        const size_t         n_pitches,
                        const double         seconds)
{
  const gboolean is_wanted = qf_preferences_get_switch(self->preferences, "audition", TRUE);
  const gboolean is_busy =
    self->has_passage_loaded && self->player && qf_player_is_playing(self->player);

  if (is_wanted && !is_busy) {
    sound_block(self, pitches, n_pitches, qf_window_hearing_now(self), seconds);
  }
}

void
qf_window_give_pitch(QfWindow* const self, const QfPitch pitch, const double seconds)
{
  QfHearing hearing = qf_window_hearing_now(self);

  hearing.forward.kind = QF_FORWARD_ALL;
  sound_block(self, &pitch, 1, hearing, seconds);
}

/// Sound what stands at the caret in all voices; stepped, its notes then come forward one by one
static void
hear_caret(QfWindow* const self, const bool is_stepped)
{
  const QfScore* const score                  = qf_lesson_item_get_score(self->item);
  const QfHearing      plan                   = qf_window_hearing_now(self);
  QfHearing            hearing                = plan;
  QfPitch              pitches[QF_MAX_VOICES] = {{0}};
  size_t               n_pitches              = 0;
  bool                 has_forward            = plan.forward.kind != QF_FORWARD_VOICE;

  // Voices that rest leave no gap, so the forward one is counted among those that sound.
  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    const QfNote* const note = qf_score_note_at(score, v, self->caret.time);
    if (note && plan.forward.kind == QF_FORWARD_VOICE && plan.forward.voice == v) {
      hearing.forward.voice = (uint8_t)n_pitches;
      has_forward           = true;
    }
    if (note) {
      pitches[n_pitches++] = note->pitch;
    }
  }
  if (!has_forward) {
    hearing.forward.kind = QF_FORWARD_ALL;
  }

  if (!is_stepped) {
    sound_block(self, pitches, n_pitches, hearing, chord_seconds);
  } else if (n_pitches && qf_window_get_player(self)) {
    QfEvents events = {0};
    if (!qf_events_of_chord_stepped(pitches, n_pitches, hearing, note_seconds, &events)) {
      sound_events(self, &events);
    }
  }
}

static void
hear_chord_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)parameter;
  hear_caret(data, g_str_equal(g_action_get_name(G_ACTION(action)), "hear-notes"));
}

/// Go to the chord after or before the caret's, and sound it
static void
step_chord_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const       self   = data;
  const bool            is_on  = g_str_equal(g_action_get_name(G_ACTION(action)), "next-chord");
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  const size_t          n      = labels ? qf_labels_n_links(labels) : 0;
  const size_t          here   = qf_window_get_link(self);

  (void)parameter;
  if (qf_window_step_performance(self, is_on ? 1 : -1)) {
    return;
  }
  if (!n || (here != SIZE_MAX && (is_on ? here + 1 >= n : here == 0))) {
    hear_caret(self, false);
    return;
  }

  const size_t there = here == SIZE_MAX ? (is_on ? 0 : n - 1) : (is_on ? here + 1 : here - 1);
  qf_window_set_caret(self, self->caret.voice, qf_labels_get_link(labels, there)->start);
  hear_caret(self, false);
}

void
qf_window_add_sound_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "hear-chord", .activate = hear_chord_cb},
    {.name = "hear-notes", .activate = hear_chord_cb},
    {.name = "next-chord", .activate = step_chord_cb},
    {.name = "previous-chord", .activate = step_chord_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
