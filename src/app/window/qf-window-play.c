// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "common/qf-message.h"

#include "quintfall/slice.h"

static const double chord_seconds = 1.6;
static const double note_seconds  = 1.2; ///< Of a chord's notes one by one

/// The lesson's key, for preludes and tunings
static QfKey
home_key(const QfWindow* const self)
{
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  return labels ? qf_labels_get_key(labels) : qf_window_key_at(self, QF_TIME_ZERO);
}

QfTuning
qf_window_get_tuning(const QfWindow* const self)
{
  QfTuning tuning = qf_preferences_get_tuning(self->preferences);
  tuning.key      = home_key(self);
  return tuning;
}

QfPlayer*
qf_window_get_player(QfWindow* const self)
{
  if (!self->player) {
    QfError error = {0};

    g_free(self->soundfont);
    self->soundfont = qf_preferences_dup_soundfont(self->preferences);
    self->player    = qf_player_new(
         (QfSoundSettings){
           .soundfont = self->soundfont,
           .driver    = g_getenv("QUINTFALL_AUDIO_DRIVER"),
           .level_db  = qf_hearing_bar_get_level(self->hearing),
           .tuning    = qf_window_get_tuning(self),
      },
         &error);
    if (self->player && !qf_player_has_sound(self->player) && error.text[0]) {
      g_autofree char* why  = qf_sentence_dup(error.text);
      g_autofree char* text = g_strdup_printf(
        "There is no sound. %s Everything else works, and the marks still move.", why);
      qf_window_notice(self, text);
    }
  }

  return self->player;
}

void
qf_window_retune(QfWindow* const self)
{
  if (!self->player) {
    return;
  }

  g_autofree char* soundfont = qf_preferences_dup_soundfont(self->preferences);
  if (g_strcmp0(soundfont, self->soundfont)) {
    qf_window_stop(self); // A new player is made when it is next needed
    g_clear_pointer(&self->player, qf_player_free);
    return;
  }

  qf_player_set_tuning(self->player, qf_window_get_tuning(self));
}

static void
show_playing(QfWindow* const self, const gboolean is_playing, const QfTime time)
{
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  const size_t          link =
    labels && is_playing && time.num >= 0 ? qf_labels_link_at(labels, time) : SIZE_MAX;

  qf_passage_view_set_playing(self->passage, is_playing, time);
  qf_circle_view_set_marks(self->circle, qf_window_get_link(self), link);
}

static void
end_tick(QfWindow* const self)
{
  if (self->player_tick) {
    gtk_widget_remove_tick_callback(GTK_WIDGET(self), self->player_tick);
    self->player_tick = 0;
  }
}

/// Move the marks with the sound, once a frame
static gboolean
tick_cb(GtkWidget* const widget, GdkFrameClock* const clock, gpointer data)
{
  QfWindow* const self = QF_WINDOW(widget);

  (void)clock;
  (void)data;
  if (qf_player_is_playing(self->player)) {
    const QfTime time      = qf_player_get_score_time(self->player);
    const bool   has_begun = time.num > 0 || qf_player_get_position(self->player) > 0.0;
    show_playing(self, has_begun, time);
    qf_window_show_step(self, TRUE);
    return G_SOURCE_CONTINUE;
  }

  self->player_tick = 0;
  show_playing(self, FALSE, QF_TIME_ZERO);
  qf_window_show_step(self, FALSE);
  qf_hearing_bar_set_playing(self->hearing, FALSE);
  return G_SOURCE_REMOVE;
}

static void
begin_tick(QfWindow* const self)
{
  if (!self->player_tick) {
    self->player_tick = gtk_widget_add_tick_callback(GTK_WIDGET(self), tick_cb, NULL, NULL);
  }
}

static QfHearing
hearing_now(const QfWindow* const self)
{
  QfHearing hearing = qf_hearing_bar_get_hearing(self->hearing);
  hearing.level_db  = qf_hearing_bar_get_level(self->hearing);
  return hearing;
}

gboolean
qf_window_load(QfWindow* const self, const QfPlan* const plan, const gboolean is_lesson_plan)
{
  const QfLabels* const  labels      = qf_lesson_item_get_labels(self->item);
  const char* const      path        = qf_lesson_item_get_path(self->item);
  g_autofree char*       folder      = path ? g_path_get_dirname(path) : NULL;
  const QfHearing        hearing     = hearing_now(self);
  const QfPerformOptions options     = {.key         = home_key(self),
                                        .level_db    = hearing.level_db,
                                        .program     = hearing.program,
                                        .labels      = labels,
                                        .folder      = folder,
                                        .clip_length = qf_sound_clip_length,
                                        .hearing     = QF_ALL_HEARINGS};
  QfPerformance          performance = {0};
  QfError                error       = {0};
  if (qf_perform(qf_lesson_item_get_score(self->item), plan, options, &performance, &error)) {
    g_autofree char* text = qf_sentence_dup(error.text);
    qf_window_toast(self, text);
    return FALSE;
  }

  qf_player_load(self->player, &performance.events);
  qf_player_set_tuning(self->player, qf_window_get_tuning(self));
  qf_performance_clear(&self->performance);
  self->performance        = performance;
  self->has_passage_loaded = TRUE;
  self->is_plan_loaded     = is_lesson_plan;
  self->loaded_revision    = qf_lesson_get_revision(qf_lesson_item_get_lesson(self->item));
  if (performance.remarks) {
    g_autofree char* text = qf_sentence_dup(performance.remarks);
    qf_window_notice(self, text);
  }
  return TRUE;
}

gboolean
qf_window_load_quick(QfWindow* const self, const QfTime from)
{
  QfPlan* const  plan = qf_plan_of_hearing(hearing_now(self), from, QF_TIME_ZERO);
  const gboolean done = plan && qf_window_load(self, plan, FALSE);
  qf_plan_free(plan);
  return done;
}

void
qf_window_start(QfWindow* const self)
{
  QfPlayer* const player = qf_window_get_player(self);

  qf_player_set_level(player, qf_hearing_bar_get_level(self->hearing));
  qf_player_set_speed(player, self->speed);
  qf_window_apply_loop(self);
  qf_player_play(player);
  qf_hearing_bar_set_playing(self->hearing, TRUE);
  begin_tick(self);
}

void
qf_window_pause(QfWindow* const self)
{
  qf_player_pause(self->player);
  qf_hearing_bar_set_playing(self->hearing, FALSE);
  qf_window_show_step(self, FALSE);
}

bool
qf_window_is_loaded(const QfWindow* const self)
{
  const uint64_t revision = qf_lesson_get_revision(qf_lesson_item_get_lesson(self->item));
  return self->player && self->has_passage_loaded && self->loaded_revision == revision;
}

/// True if the passage was paused and nothing has changed since
static bool
can_resume(const QfWindow* const self)
{
  return qf_window_is_loaded(self) && qf_player_get_position(self->player) > 0.05;
}

static void
play_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  if (!qf_window_get_player(self)) {
    qf_window_toast(self, "There is not enough memory to play");
    return;
  }
  qf_window_flush_hearing(self);
  if (self->has_passage_loaded && qf_player_is_playing(self->player)) {
    qf_window_pause(self);
    return;
  }
  if (can_resume(self) || qf_window_load_quick(self, QF_TIME_ZERO)) {
    qf_window_start(self);
  }
}

static void
play_here_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  qf_window_flush_hearing(self);
  if (!qf_window_get_player(self) || qf_window_seek_caret(self)) {
    return;
  }
  if (qf_window_load_quick(self, self->caret.time)) {
    qf_window_start(self);
  }
}

void
qf_window_stop(QfWindow* const self)
{
  self->has_passage_loaded = FALSE;
  self->is_plan_loaded     = FALSE;
  self->resume_s           = 0.0;
  end_tick(self);
  if (self->player) {
    qf_player_stop(self->player);
  }
  show_playing(self, FALSE, QF_TIME_ZERO);
  qf_window_show_step(self, FALSE);
  qf_hearing_bar_set_playing(self->hearing, FALSE);
}

static void
stop_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  qf_window_stop(data);
}

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
  const QfHearing plan    = hearing_now(self);
  QfHearing       hearing = qf_hearing_default();
  QfEvents        events  = {0};

  hearing.program  = plan.program;
  hearing.level_db = plan.level_db;
  if (qf_window_get_player(self) &&
      !qf_events_of(score, key, hearing, QF_TIME_ZERO, QF_TIME_ZERO, &events)) {
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
    sound_block(self, pitches, n_pitches, hearing_now(self), seconds);
  }
}

void
qf_window_give_pitch(QfWindow* const self, const QfPitch pitch, const double seconds)
{
  QfHearing hearing = hearing_now(self);

  hearing.forward.kind = QF_FORWARD_ALL;
  sound_block(self, &pitch, 1, hearing, seconds);
}

/// Sound what stands at the caret in all voices; stepped, its notes then come forward one by one
static void
hear_caret(QfWindow* const self, const bool is_stepped)
{
  const QfScore* const score                  = qf_lesson_item_get_score(self->item);
  const QfHearing      plan                   = hearing_now(self);
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

static void
loop_cb(GSimpleAction* const action, GVariant* const state, gpointer data)
{
  QfWindow* const self = data;

  g_simple_action_set_state(action, state);
  qf_window_apply_loop(self);
}

void
qf_window_add_play_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "play", .activate = play_cb},
    {.name = "play-here", .activate = play_here_cb},
    {.name = "stop", .activate = stop_cb},
    {.name = "hear-chord", .activate = hear_chord_cb},
    {.name = "hear-notes", .activate = hear_chord_cb},
    {.name = "next-chord", .activate = step_chord_cb},
    {.name = "previous-chord", .activate = step_chord_cb},
    {.name = "loop", .change_state = loop_cb, .state = "false"},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
