// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "common/qf-message.h"

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

/// True if the passage was paused and nothing has changed since
static bool
can_resume(const QfWindow* const self)
{
  return qf_window_is_loaded(self) && qf_player_get_position(self->player) > 0.05;
}

void
qf_window_show_place(QfWindow* const self)
{
  const bool is_held  = can_resume(self) && !qf_player_has_ended(self->player);
  const bool is_shown = is_held || (self->has_passage_loaded && qf_player_is_playing(self->player));
  const QfTime time   = is_shown ? qf_player_get_score_time(self->player) : QF_TIME_ZERO;
  const bool   has_begun = is_shown && (time.num > 0 || qf_player_get_position(self->player) > 0.0);

  show_playing(self, has_begun, time);
}

/// Move the marks with the sound, once a frame; in a pause they stay
static gboolean
tick_cb(GtkWidget* const widget, GdkFrameClock* const clock, gpointer data)
{
  QfWindow* const self = QF_WINDOW(widget);

  (void)clock;
  (void)data;
  qf_window_show_place(self);
  if (qf_player_is_playing(self->player)) {
    qf_window_show_step(self, TRUE);
    return G_SOURCE_CONTINUE;
  }

  self->player_tick = 0;
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

QfHearing
qf_window_hearing_now(const QfWindow* const self)
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
  const QfHearing        hearing     = qf_window_hearing_now(self);
  const QfPerformOptions options     = {.key         = qf_window_home_key(self),
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
  self->resume_s           = 0.0;
  self->n_stepped          = 0;
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
  QfPlan* const  plan = qf_plan_of_hearing(qf_window_hearing_now(self), from, QF_TIME_ZERO);
  const gboolean done = plan && qf_window_load(self, plan, FALSE);
  qf_plan_free(plan);
  self->loaded_from = from;
  self->heard       = qf_window_hearing_now(self);
  return done;
}

void
qf_window_hear_change(QfWindow* const self)
{
  const QfHearing now = qf_window_hearing_now(self);
  if (!qf_window_is_loaded(self) || self->is_plan_loaded || !qf_player_is_playing(self->player) ||
      !qf_hearing_same_times(now, self->heard)) {
    return;
  }

  const double at_s = qf_player_get_position(self->player);
  if (qf_window_load_quick(self, self->loaded_from)) {
    qf_player_seek(self->player, at_s);
    qf_window_start(self);
  }
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
  qf_window_watch_player(self);
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

/// Load the quick hearing, at the place where a chord came between
static gboolean
load_again(QfWindow* const self)
{
  const uint64_t revision = qf_lesson_get_revision(qf_lesson_item_get_lesson(self->item));
  const double   at_s     = self->resume_s;

  if (at_s <= 0.0 || self->resumes_plan || revision != self->loaded_revision) {
    return qf_window_load_quick(self, QF_TIME_ZERO);
  }
  if (!qf_window_load_quick(self, self->loaded_from)) {
    return FALSE;
  }
  qf_player_seek(self->player, at_s);
  return TRUE;
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
  if (can_resume(self) || load_again(self)) {
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
  self->n_stepped          = 0;
  end_tick(self);
  if (self->sung_step != SIZE_MAX) {
    qf_window_end_singing(self);
  }
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
    {.name = "loop", .change_state = loop_cb, .state = "false"},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
