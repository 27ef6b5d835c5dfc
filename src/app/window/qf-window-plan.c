// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

static const double slowest    = 0.25;
static const double fastest    = 2.0;
static const double speed_step = 0.05;
static const double silence_db = -120.0;
static const double restart_s  = 1.5; ///< So near its start, a hearing gives way to the one before

/// The lesson's hearing plan, or a plain one (transfer full)
static QfPlan*
dup_plan(const QfWindow* const self)
{
  const QfPlan* const own = qf_lesson_get_plan(qf_lesson_item_get_lesson(self->item));
  return own ? qf_plan_dup(own) : qf_ready_plan_new(0);
}

//
// What is shown
//

/// What a step that is no pass adds to its hearing's name
static void
add_step(GString* const text, const QfPerformedStep* const step)
{
  if (step->kind == QF_STEP_SUNG_GAP) {
    g_string_append(text, " \u2022 your turn to sing");
  } else if (step->kind != QF_STEP_PASS) {
    g_autofree char* kind = g_ascii_strdown(qf_step_kind_name(step->kind), -1);
    g_string_append_printf(text, " \u2022 %s", kind);
  }
}

static char*
dup_position(const QfWindow* const self)
{
  const QfPerformance* const performance = &self->performance;
  const double               at_s        = qf_player_get_position(self->player);
  const size_t               chapter     = qf_performance_chapter_at(performance, at_s);
  GString* const             text        = g_string_new(NULL);

  g_string_printf(text, "Hearing %zu of %zu: %s", chapter + 1, performance->n_chapters,
                  performance->chapters[chapter].title);
  add_step(text, &performance->steps[qf_performance_step_at(performance, at_s)]);
  return g_string_free(text, FALSE);
}

static char*
dup_plan_name(const QfWindow* const self)
{
  QfPlan* const plan = dup_plan(self);
  char* const   text = plan ? g_strdup_printf("Plan: %s, %zu hearings", qf_plan_get_name(plan),
                                              qf_plan_n_hearings(plan))
                            : g_strdup("");
  qf_plan_free(plan);
  return text;
}

void
qf_window_show_step(QfWindow* const self, const gboolean is_playing)
{
  const gboolean is_shown =
    self->is_plan_loaded && self->player && self->performance.n_chapters > 0;
  g_autofree char* text = is_shown ? dup_position(self) : dup_plan_name(self);

  qf_plan_strip_set_step(self->strip, text);
  qf_plan_strip_set_playing(self->strip, is_playing && self->is_plan_loaded);
  qf_plan_strip_set_level(self->strip,
                          is_playing ? qf_player_get_level_db(self->player) : silence_db);
  qf_window_follow_gap(self, is_playing);
}

//
// Going about in it
//

/// Load the plan if need be; false, with a message, if that cannot be
static gboolean
need_plan(QfWindow* const self)
{
  if (self->is_plan_loaded && qf_window_is_loaded(self)) {
    return TRUE;
  }
  if (!qf_window_get_player(self)) {
    qf_window_toast(self, "There is not enough memory to play");
    return FALSE;
  }

  const double   resume_s = self->resumes_plan ? self->resume_s : 0.0;
  QfPlan* const  plan     = dup_plan(self);
  const gboolean done     = plan && qf_window_load(self, plan, TRUE);
  qf_plan_free(plan);
  if (done && resume_s > 0.0) {
    qf_player_seek(self->player, resume_s);
  }
  return done;
}

static void
play_plan_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  qf_window_flush_hearing(self);
  if (self->is_plan_loaded && qf_player_is_playing(self->player)) {
    qf_window_pause(self);
  } else if (need_plan(self)) {
    qf_window_start(self);
  }
}

static void
go_to(QfWindow* const self, const double at_s)
{
  qf_player_seek(self->player, at_s);
  qf_window_show_step(self, qf_player_is_playing(self->player));
  qf_window_show_place(self);
}

/// To the next hearing, or to the start of this one and then to those before
static void
step_hearing_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self       = data;
  const bool      is_on      = g_str_equal(g_action_get_name(G_ACTION(action)), "next-hearing");
  const bool      was_loaded = self->is_plan_loaded && qf_window_is_loaded(self);

  (void)parameter;
  if (!need_plan(self) || !self->performance.n_chapters) {
    return;
  }
  if (!was_loaded) {
    qf_window_start(self);
    return;
  }

  const double           at_s    = qf_player_get_position(self->player);
  const size_t           here    = qf_performance_chapter_at(&self->performance, at_s);
  const QfChapter* const chapter = &self->performance.chapters[here];
  const bool             is_near = at_s < chapter->start_s + restart_s;
  if (is_on && here + 1 >= self->performance.n_chapters) {
    qf_window_toast(self, "This is the last hearing");
    return;
  }
  const size_t there = is_on ? here + 1 : is_near && here > 0 ? here - 1 : here;
  go_to(self, self->performance.chapters[there].start_s);
}

gboolean
qf_window_step_performance(QfWindow* const self, const int by)
{
  if (!qf_window_is_loaded(self) || !qf_player_is_playing(self->player)) {
    return FALSE;
  }

  const QfPerformance* const performance = &self->performance;
  const size_t here  = qf_performance_chord_at(performance, qf_player_get_position(self->player));
  const size_t there = here == SIZE_MAX ? 0 : by > 0 ? here + 1 : here > 0 ? here - 1 : 0;
  if (there < performance->n_chords) {
    go_to(self, performance->chords[there].at_s);
  }
  return TRUE;
}

/// The chord of a score time, when it is first heard in the hearing that is loaded, or SIZE_MAX
static size_t
first_chord_at(const QfWindow* const self, const QfTime time)
{
  const QfPerformance* const performance = &self->performance;
  const size_t               hearing =
    qf_performance_chapter_at(performance, qf_player_get_position(self->player));
  size_t found = SIZE_MAX;
  for (size_t i = 0; i < performance->n_chords; ++i) {
    const QfChordMoment* const chord = &performance->chords[i];
    const bool                 is_later =
      found == SIZE_MAX ||
      qf_time_compare(chord->score_time, performance->chords[found].score_time) > 0;
    if (chord->hearing == hearing && is_later && qf_time_compare(chord->score_time, time) <= 0) {
      found = i;
    }
  }
  return found;
}

gboolean
qf_window_seek_caret(QfWindow* const self)
{
  if (!qf_window_is_loaded(self)) {
    return FALSE;
  }

  const size_t chord = first_chord_at(self, self->caret.time);
  if (chord == SIZE_MAX && !self->is_plan_loaded) {
    return FALSE;
  }
  if (chord == SIZE_MAX) {
    qf_window_toast(self, "This hearing does not reach the chord at the caret");
    return TRUE;
  }
  qf_player_seek(self->player, self->performance.chords[chord].at_s);
  qf_window_start(self);
  return TRUE;
}

//
// Loop and speed
//

static gboolean
is_on(QfWindow* const self, const char* const action)
{
  g_autoptr(GVariant) state = g_action_group_get_action_state(G_ACTION_GROUP(self), action);
  return g_variant_get_boolean(state);
}

/// Seconds at which a score time is heard within the time through that begins with a chord
static double
moment_of(const QfWindow* const self, const size_t chord, const QfTime time)
{
  const QfChordMoment* const   moment = &self->performance.chords[chord];
  const QfPerformedStep* const step =
    &self->performance.steps[qf_performance_step_at(&self->performance, moment->at_s)];
  const QfTime end = qf_time_min(time, step->to);
  return moment->at_s +
         qf_time_to_double(qf_time_sub(end, moment->score_time)) * step->seconds_per_whole;
}

void
qf_window_apply_loop(QfWindow* const self)
{
  if (!self->player) {
    return;
  }

  const bool   has_range = qf_time_compare(self->loop_from, self->loop_to) < 0;
  const size_t chord =
    has_range && qf_window_is_loaded(self) ? first_chord_at(self, self->loop_from) : SIZE_MAX;
  if (chord != SIZE_MAX) {
    const double from_s = self->performance.chords[chord].at_s;
    const double at_s   = qf_player_get_position(self->player);
    const double to_s   = moment_of(self, chord, self->loop_to);
    qf_player_set_loop_range(self->player, from_s, to_s);
    if (at_s < from_s || at_s >= to_s) {
      qf_player_seek(self->player, from_s);
    }
  } else {
    qf_player_set_loop_range(self->player, 0.0, 0.0);
  }
  qf_player_set_loop(self->player, chord != SIZE_MAX || is_on(self, "loop"));
}

/// Loop the selection or the chord at the caret; elsewhere, up to there; within the loop, no more
static void
loop_here_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const       self      = data;
  const QfLabels* const labels    = qf_lesson_item_get_labels(self->item);
  const bool            has_range = qf_time_compare(self->loop_from, self->loop_to) < 0;
  size_t                first     = 0;
  size_t                last      = 0;

  (void)parameter;
  if (!qf_window_find_links(self, &first, &last)) {
    qf_window_toast(self, "There is no chord at the caret to loop");
    return;
  }

  const QfTime start     = qf_labels_get_link(labels, first)->start;
  const QfTime end       = qf_labels_get_link(labels, last)->end;
  const bool   is_within = has_range && qf_time_compare(start, self->loop_from) >= 0 &&
                         qf_time_compare(end, self->loop_to) <= 0;
  if (is_within) {
    self->loop_from = self->loop_to = QF_TIME_ZERO;
  } else {
    self->loop_from = has_range ? qf_time_min(self->loop_from, start) : start;
    self->loop_to   = has_range ? qf_time_max(self->loop_to, end) : end;
  }
  g_simple_action_set_state(action, g_variant_new_boolean(!is_within));

  const bool is_playing = self->player && qf_player_is_playing(self->player);
  if (!is_within && !is_playing && qf_window_get_player(self) &&
      (qf_window_is_loaded(self) || qf_window_load_quick(self, QF_TIME_ZERO))) {
    qf_window_start(self);
  } else {
    qf_window_apply_loop(self);
  }
}

static void
speed_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const   self = data;
  const char* const name = g_action_get_name(G_ACTION(action));
  const double      by   = g_str_equal(name, "slower") ? -speed_step : speed_step;

  (void)parameter;
  self->speed = g_str_equal(name, "normal-speed") ? 1.0 : CLAMP(self->speed + by, slowest, fastest);
  qf_plan_strip_set_speed(self->strip, self->speed);
  if (self->player) {
    qf_player_set_speed(self->player, self->speed);
  }
}

void
qf_window_hear_plan(QfWindow* const self, const QfPlan* const plan, const guint64 step)
{
  if (self->is_plan_loaded && self->player && qf_player_is_playing(self->player)) {
    qf_window_stop(self);
    return;
  }
  if (!qf_window_get_player(self) || !qf_window_load(self, plan, TRUE)) {
    return;
  }

  for (size_t i = 0; i < self->performance.n_steps; ++i) {
    if (self->performance.steps[i].step == step) {
      qf_player_seek(self->player, self->performance.steps[i].start_s);
    }
  }
  qf_window_start(self);
}

void
qf_window_end_hear_plan(QfWindow* const self)
{
  // What was tried need not be what the lesson has.
  if (self->is_plan_loaded) {
    qf_window_stop(self);
  }
}

static void
edit_plan_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  qf_window_show_plan_dialog(data);
}

void
qf_window_add_plan_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "play-plan", .activate = play_plan_cb},
    {.name = "next-hearing", .activate = step_hearing_cb},
    {.name = "previous-hearing", .activate = step_hearing_cb},
    {.name = "loop-here", .activate = loop_here_cb, .state = "false"},
    {.name = "slower", .activate = speed_cb},
    {.name = "faster", .activate = speed_cb},
    {.name = "normal-speed", .activate = speed_cb},
    {.name = "edit-plan", .activate = edit_plan_cb},
  };

  self->speed     = 1.0;
  self->loop_from = QF_TIME_ZERO;
  self->loop_to   = QF_TIME_ZERO;
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
