// SPDX-License-Identifier: MIT
#include "qf-study-private.h"

#include "hearing/qf-new-player.h"

#include "quintfall/events.h"

static const double chord_seconds = 1.6; ///< Of a chord heard by itself

static QfAnswer*
answer_of(const QfStudyWindow* const self)
{
  return qf_answer_item_get_answer(self->item);
}

static void
told_cb(const char* const text, gpointer data)
{
  qf_study_toast(data, text);
}

QfPlayer*
qf_study_get_player(QfStudyWindow* const self)
{
  if (!self->player) {
    self->player = qf_new_player(self->preferences, qf_answer_get_key(answer_of(self)));
  }
  return self->player;
}

static void
show_playing(QfStudyWindow* const self, const gboolean is_playing, const QfTime time)
{
  qf_study_sheet_set_playing(self->sheet, is_playing && self->hears_solution, time);
  qf_study_show_heard(self, is_playing, time);
  qf_hearing_bar_set_playing(self->hearing, is_playing);
}

/// Move the mark with the sound, once a frame
static gboolean
tick_cb(GtkWidget* const widget, GdkFrameClock* const clock, gpointer data)
{
  QfStudyWindow* const self = QF_STUDY_WINDOW(widget);

  (void)clock;
  (void)data;
  if (qf_player_is_playing(self->player)) {
    show_playing(self, TRUE, qf_player_get_score_time(self->player));
    return G_SOURCE_CONTINUE;
  }
  self->player_tick = 0;
  show_playing(self, FALSE, QF_TIME_ZERO);
  return G_SOURCE_REMOVE;
}

static void
start(QfStudyWindow* const self, QfEvents* const events)
{
  QfPlayer* const player = qf_study_get_player(self);

  if (events) {
    qf_player_load(player, events);
    qf_events_clear(events);
  }
  qf_player_set_level(player, qf_hearing_bar_get_level(self->hearing));
  qf_player_set_loop(player, false);
  qf_player_play(player);
  qf_player_watch(player, told_cb, self, &self->player_watch);
  show_playing(self, TRUE, QF_TIME_ZERO);
  if (!self->player_tick) {
    self->player_tick = gtk_widget_add_tick_callback(GTK_WIDGET(self), tick_cb, NULL, NULL);
  }
}

void
qf_study_stop(QfStudyWindow* const self)
{
  g_clear_handle_id(&self->second_half, g_source_remove);
  if (self->player_tick) {
    gtk_widget_remove_tick_callback(GTK_WIDGET(self), self->player_tick);
    self->player_tick = 0;
  }
  if (self->player) {
    qf_player_stop(self->player);
  }
  show_playing(self, FALSE, QF_TIME_ZERO);
  self->hears_solution = FALSE;
  self->heard          = QF_HEARD_NOTHING;
  self->heard_chord    = FALSE;
}

/// Of a task with limited hearings, each press of the key is one
static QfHearing
hearing_now(const QfStudyWindow* const self)
{
  QfHearing hearing = qf_hearing_bar_get_hearing(self->hearing);

  hearing.level_db = qf_hearing_bar_get_level(self->hearing);
  if (qf_answer_hearings_left(answer_of(self)) >= 0) {
    hearing.repeats = 1;
  }
  return hearing;
}

static void
hear_passage(QfStudyWindow* const self)
{
  QfLesson* const       lesson  = qf_answer_item_get_lesson(self->item);
  const QfScore* const  score   = qf_lesson_get_score(lesson);
  const QfLabels* const labels  = qf_lesson_get_labels(lesson);
  const QfHearing       hearing = hearing_now(self);
  g_autofree char*      now     = qf_now_dup();
  QfEvents              events  = {0};
  QfError               error   = {0};
  const QfStatus st = qf_events_of(score, labels, qf_answer_get_key(answer_of(self)), hearing,
                                   QF_TIME_ZERO, QF_TIME_ZERO, &events);

  if (st) {
    qf_study_toast(self, st == QF_ERR_RANGE ? "The voice to bring forward is not in this passage"
                                            : qf_status_text(st));
    return;
  }
  // It counts once it is certain that it can be played.
  if (!qf_answer_is_read_only(answer_of(self)) &&
      !qf_answer_item_finish(self->item,
                             qf_answer_add_heard(answer_of(self), now, hearing, QF_TIME_ZERO,
                                                 qf_score_get_end(score), &error),
                             &error)) {
    qf_events_clear(&events);
    return;
  }

  qf_study_stop(self);
  self->hears_solution = TRUE;
  start(self, &events);
}

static void
play_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self = data;

  (void)action;
  (void)parameter;
  if (!qf_study_get_player(self)) {
    qf_study_toast(self, "There is not enough memory to play");
  } else if (self->hears_solution && qf_player_is_playing(self->player)) {
    qf_player_pause(self->player);
    show_playing(self, FALSE, QF_TIME_ZERO);
  } else if (self->hears_solution && qf_player_get_position(self->player) > 0.05) {
    start(self, NULL);
  } else {
    hear_passage(self);
  }
}

static void
stop_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  qf_study_stop(data);
}

gboolean
qf_study_sound_score(QfStudyWindow* const self,
                     const QfScore* const score,
                     const QfTime         from,
                     const QfTime         to)
{
  QfHearing hearing = hearing_now(self);
  QfEvents  events  = {0};

  hearing.has_prelude = hearing.has_count_in = false;
  hearing.repeats                            = 1;
  hearing.forward.kind                       = QF_FORWARD_ALL;
  if (!qf_study_get_player(self) ||
      qf_events_of(score, NULL, qf_answer_get_key(answer_of(self)), hearing, from, to, &events)) {
    return FALSE;
  }

  qf_study_stop(self);
  start(self, &events);
  return TRUE;
}

void
qf_study_sound_chord(QfStudyWindow* const self, const QfChord chord)
{
  QfPitch      pitches[QF_CHORD_MAX_NOTES];
  const size_t n       = qf_chord_close_position(chord, pitches);
  QfHearing    hearing = hearing_now(self);
  QfEvents     events  = {0};

  hearing.forward.kind = QF_FORWARD_ALL;
  if (n && qf_study_get_player(self) &&
      !qf_events_of_chord(pitches, n, hearing, chord_seconds, &events)) {
    qf_study_stop(self);
    start(self, &events);
  }
}

static void
hear_mine_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self    = data;
  const QfTry* const   attempt = qf_answer_item_get_try(self->item);

  (void)action;
  (void)parameter;
  if (attempt) {
    qf_study_sound_score(self, qf_try_get_score(attempt), QF_TIME_ZERO, QF_TIME_ZERO);
  }
}

static void
sound(QfStudyWindow* const self, const QfPitch* const pitches, const size_t n, const double seconds)
{
  QfHearing hearing = hearing_now(self);
  QfEvents  events  = {0};

  hearing.forward.kind = QF_FORWARD_ALL;
  if (n && qf_study_get_player(self) &&
      !qf_events_of_chord(pitches, n, hearing, seconds, &events)) {
    qf_study_stop(self);
    start(self, &events);
  }
}

void
qf_study_give_pitch(QfStudyWindow* const self, const QfPitch pitch, const double seconds)
{
  sound(self, &pitch, 1, seconds);
}

void
qf_study_sound_pitches(QfStudyWindow* const self,
                       const QfPitch* const pitches,
                       const size_t         n,
                       const double         seconds)
{
  // A hearing that was paused goes on where it was, so nothing else is loaded meanwhile.
  const gboolean is_busy =
    self->player && self->hears_solution &&
    (qf_player_is_playing(self->player) || qf_player_get_position(self->player) > 0.05);

  if (!is_busy && qf_preferences_get_switch(self->preferences, "audition", TRUE)) {
    sound(self, pitches, n, seconds);
  }
}

/// Sound what the student has written at the caret, in all voices
static void
hear_chord_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self                   = data;
  const QfTry* const   attempt                = qf_answer_item_get_try(self->item);
  QfPitch              pitches[QF_MAX_VOICES] = {{0}};
  size_t               n                      = 0;

  (void)action;
  (void)parameter;
  for (size_t v = 0; attempt && v < qf_score_n_voices(qf_try_get_score(attempt)); ++v) {
    const QfNote* const note = qf_score_note_at(qf_try_get_score(attempt), v, self->caret.time);
    if (note) {
      pitches[n++] = note->pitch;
    }
  }
  qf_study_sound_pitches(self, pitches, n, chord_seconds);
}

static void
forward_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self   = data;
  const gint32         choice = g_variant_get_int32(parameter);

  (void)action;
  qf_hearing_bar_choose_forward(self->hearing, choice < 0 ? G_MAXUINT : (guint)choice);
}

static void
level_changed_cb(QfStudyWindow* const self)
{
  const double level_db = qf_hearing_bar_get_level(self->hearing);

  qf_preferences_set_level(self->preferences, level_db);
  if (self->player) {
    qf_player_set_level(self->player, level_db);
  }
}

void
qf_study_add_play_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "play", .activate = play_cb},
    {.name = "stop", .activate = stop_cb},
    {.name = "hear-mine", .activate = hear_mine_cb},
    {.name = "hear-chord", .activate = hear_chord_cb},
    {.name = "forward", .activate = forward_cb, .parameter_type = "i"},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_autofree char* soundfont = qf_preferences_dup_soundfont(self->preferences);
  qf_hearing_bar_set_soundfont(self->hearing, soundfont);
  qf_hearing_bar_set_level(self->hearing, qf_preferences_get_level(self->preferences));
  g_signal_connect_object(self->hearing, "level-changed", G_CALLBACK(level_changed_cb), self,
                          G_CONNECT_SWAPPED);
}
