// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "quintfall/slice.h"

static const double chord_seconds = 1.6;
static const double note_seconds  = 5.0; ///< Of a held chord's notes, unless a key goes on

enum {
  STEP_LOOK_MS = 100,
};

/// Stop for a single chord; the passage goes on from there afterwards
static void
interrupt(QfWindow* const self)
{
  const gboolean was_plan = self->has_passage_loaded ? self->is_plan_loaded : self->resumes_plan;
  const double   at_s =
    self->has_passage_loaded ? qf_player_get_position(self->player) : self->resume_s;

  qf_window_stop(self);
  self->resume_s     = at_s;
  self->resumes_plan = was_plan;
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

/// What stands at the caret, and how it is to be heard
typedef struct {
  QfPitch   pitches[QF_MAX_VOICES];
  size_t    voices[QF_MAX_VOICES]; ///< Of the pitches
  size_t    n_pitches;
  QfHearing hearing;
} Chord;

static Chord
chord_at_caret(const QfWindow* const self)
{
  const QfScore* const score       = qf_lesson_item_get_score(self->item);
  const QfHearing      plan        = qf_window_hearing_now(self);
  Chord                chord       = {.hearing = plan};
  bool                 has_forward = plan.forward.kind != QF_FORWARD_VOICE;

  // Voices that rest leave no gap, so the forward one is counted among those that sound.
  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    const QfNote* const note = qf_score_note_at(score, v, self->caret.time);
    if (note && plan.forward.kind == QF_FORWARD_VOICE && plan.forward.voice == v) {
      chord.hearing.forward.voice = (uint8_t)chord.n_pitches;
      has_forward                 = true;
    }
    if (note) {
      chord.voices[chord.n_pitches]    = v;
      chord.pitches[chord.n_pitches++] = note->pitch;
    }
  }
  if (!has_forward) {
    chord.hearing.forward.kind = QF_FORWARD_ALL;
  }
  return chord;
}

static void
hear_caret(QfWindow* const self)
{
  const Chord chord = chord_at_caret(self);
  sound_block(self, chord.pitches, chord.n_pitches, chord.hearing, chord_seconds);
}

/// The pitch that has so many others below it
static size_t
nth_upwards(const Chord* const chord, const size_t nth)
{
  size_t found = 0;
  for (size_t i = 0; i < chord->n_pitches; ++i) {
    size_t n_below = 0;
    for (size_t j = 0; j < chord->n_pitches; ++j) {
      const int order = qf_pitch_compare(chord->pitches[j], chord->pitches[i]);
      n_below += order < 0 || (order == 0 && j < i);
    }
    found = n_below == nth ? i : found;
  }
  return found;
}

/// Say which note of the held chord is forward; step 0 is the whole chord
static void
say_step(QfWindow* const self, const Chord* const chord, const size_t step)
{
  self->step_said = step;
  if (step == 0) {
    gtk_label_set_text(self->status, "Held: the whole chord");
    return;
  }

  const QfScore* const score = qf_lesson_item_get_score(self->item);
  const size_t         found = nth_upwards(chord, step - 1U);
  char                 name[40];
  qf_note_name_spell_out(qf_pitch_name(chord->pitches[found]),
                         qf_preferences_get_view(self->preferences).naming, name, sizeof(name));
  g_autofree char* text = g_strdup_printf(
    "Held, forward: %s, %s", qf_score_get_voice(score, chord->voices[found])->name, name);
  gtk_label_set_text(self->status, text);
}

/// The step of the held chord that sounds, or SIZE_MAX if there is none any more
static size_t
step_now(const QfWindow* const self)
{
  const uint64_t revision = qf_lesson_get_revision(qf_lesson_item_get_lesson(self->item));

  if (!self->n_stepped || revision != self->stepped_revision ||
      qf_time_compare(self->stepped_time, self->caret.time) ||
      !qf_player_is_playing(self->player)) {
    return SIZE_MAX;
  }
  return MIN((size_t)(qf_player_get_position(self->player) / note_seconds + 0.001),
             self->n_stepped);
}

/// Follow the steps that the held chord goes on by itself
static gboolean
follow_steps_cb(gpointer data)
{
  QfWindow* const self = data;
  const size_t    step = step_now(self);

  if (step == SIZE_MAX) {
    self->step_timeout = 0;
    qf_window_show_caret(self);
    return G_SOURCE_REMOVE;
  }
  if (step != self->step_said) {
    const Chord chord = chord_at_caret(self);
    say_step(self, &chord, step);
  }
  return G_SOURCE_CONTINUE;
}

/// Hold the chord at the caret; again, bring its notes forward one by one from the bass up
static void
hear_notes_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self   = data;
  const size_t    step   = step_now(self);
  const Chord     chord  = chord_at_caret(self);
  QfEvents        events = {0};

  (void)action;
  (void)parameter;
  if (step != SIZE_MAX && step < self->n_stepped) {
    qf_player_seek(self->player, (double)(step + 1U) * note_seconds);
    say_step(self, &chord, step + 1U);
    return;
  }
  if (chord.n_pitches && qf_window_get_player(self) &&
      !qf_events_of_chord_stepped(chord.pitches, chord.n_pitches, chord.hearing, note_seconds,
                                  &events)) {
    sound_events(self, &events);
    self->n_stepped        = chord.n_pitches;
    self->stepped_time     = self->caret.time;
    self->stepped_revision = qf_lesson_get_revision(qf_lesson_item_get_lesson(self->item));
    say_step(self, &chord, 0);
    if (!self->step_timeout) {
      self->step_timeout = g_timeout_add(STEP_LOOK_MS, follow_steps_cb, self);
    }
  }
}

static void
hear_chord_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  hear_caret(data);
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
    hear_caret(self);
    return;
  }

  const size_t there = here == SIZE_MAX ? (is_on ? 0 : n - 1) : (is_on ? here + 1 : here - 1);
  qf_window_set_caret(self, self->caret.voice, qf_labels_get_link(labels, there)->start);
  hear_caret(self);
}

void
qf_window_add_sound_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "hear-chord", .activate = hear_chord_cb},
    {.name = "hear-notes", .activate = hear_notes_cb},
    {.name = "next-chord", .activate = step_chord_cb},
    {.name = "previous-chord", .activate = step_chord_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
