// SPDX-License-Identifier: MIT
#include "player_private.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

void
qf_loaded_free(QfLoaded* const loaded)
{
  qf_events_clear(&loaded->events);
  qf_clips_clear(&loaded->clips);
  free(loaded);
}

/// Free what is no longer played
static void
free_retired(QfPlayer* const self)
{
  QfCommand command;
  while (qf_command_queue_pop(&self->retired, &command)) {
    for (QfLoaded** link = &self->loaded; *link; link = &(*link)->next) {
      if (&(*link)->events == command.events) {
        QfLoaded* const loaded = *link;

        *link = loaded->next;
        qf_loaded_free(loaded);
        break;
      }
    }
  }
}

static void
send_command(QfPlayer* const self, QfCommand command)
{
  command.serial = ++self->n_sent;
  while (!qf_command_queue_push(&self->queue, command)) {
    // Somebody performs within a second at worst, see QF_PLAYER_STALL_S.
    sem_post(&self->wake);
    nanosleep(&(const struct timespec){.tv_nsec = 1000000L}, NULL);
  }
  sem_post(&self->wake);
}

/// What was told, or what will be once all commands are obeyed
static QfSnapshot
look(const QfPlayer* const self)
{
  const QfSnapshot snapshot = qf_told_read(&self->told);
  if (snapshot.serial == self->n_sent) {
    return snapshot;
  }

  return (QfSnapshot){.is_playing = self->expects_playing,
                      .position_s = self->expected_s,
                      .low_s      = self->expected_s,
                      .high_s     = self->expected_s};
}

bool
qf_player_is_ready(const QfPlayer* const player)
{
  return !atomic_load(&player->is_starting);
}

bool
qf_player_has_sound(const QfPlayer* const player)
{
  return qf_player_is_ready(player) && player->engine && qf_player_is_device_alive(player);
}

/// Hand on a change of driver, unless the starter is still opening the first
static void
change_driver(QfPlayer* const self)
{
  if (self->has_wanted_driver && qf_player_is_ready(self)) {
    if (self->keeper) {
      qf_keeper_set_driver(self->keeper, self->wanted_driver);
    }
    self->has_wanted_driver = false;
  }
}

void
qf_player_set_driver(QfPlayer* const player, const char* const driver)
{
  free(player->wanted_driver);
  player->wanted_driver     = driver ? strdup(driver) : NULL;
  player->has_wanted_driver = true;
  change_driver(player);
}

/// Copy the marks of events for qf_player_get_score_time(); without memory there are none
static void
take_marks(QfPlayer* const self, const QfEvents* const events)
{
  free(self->marks);
  self->marks   = (QfMark*)calloc(events->n_events + 1U, sizeof(QfMark));
  self->n_marks = 0;
  for (size_t i = 0; self->marks && i < events->n_events; ++i) {
    const QfEvent* const event = &events->events[i];
    if (event->kind == QF_EVENT_MARK) {
      self->marks[self->n_marks++] = (QfMark){event->at_s, event->score_time};
    }
  }
}

void
qf_player_load(QfPlayer* const player, QfEvents* const events)
{
  free_retired(player);

  QfLoaded* const loaded = (QfLoaded*)calloc(1, sizeof(QfLoaded));
  if (!loaded) {
    qf_events_clear(events);
    return;
  }

  loaded->events   = *events;
  loaded->next     = player->loaded;
  player->loaded   = loaded;
  *events          = (QfEvents){0};
  player->length_s = loaded->events.length_s;
  take_marks(player, &loaded->events);

  player->expects_playing = qf_player_is_playing(player);
  player->expected_s      = 0.0;
  if (!player->is_mute &&
      qf_clips_read(&loaded->events, QF_PLAYER_RATE, true, &loaded->clips, &player->notice)) {
    player->has_notice = true;
  }
  send_command(
    player,
    (QfCommand){.kind = QF_COMMAND_LOAD, .events = &loaded->events, .clips = &loaded->clips});
}

/// Send a command that leaves the position where it is
static void
send_value(QfPlayer* const self, const QfCommandKind kind, const double value)
{
  self->expected_s      = qf_player_get_position(self);
  self->expects_playing = qf_player_is_playing(self);
  send_command(self, (QfCommand){.kind = kind, .value = value});
}

void
qf_player_play(QfPlayer* const player)
{
  change_driver(player);
  const double position_s = qf_player_get_position(player);
  player->expected_s      = position_s < player->length_s ? position_s : 0.0;
  player->expects_playing = true;
  send_command(player, (QfCommand){.kind = QF_COMMAND_PLAY});
}

void
qf_player_pause(QfPlayer* const player)
{
  player->expected_s      = qf_player_get_position(player);
  player->expects_playing = false;
  send_command(player, (QfCommand){.kind = QF_COMMAND_PAUSE});
}

void
qf_player_stop(QfPlayer* const player)
{
  qf_player_pause(player);
  qf_player_seek(player, 0.0);
}

void
qf_player_seek(QfPlayer* const player, const double at_s)
{
  player->expects_playing = qf_player_is_playing(player);
  player->expected_s      = at_s >= 0.0 ? fmin(at_s, player->length_s) : 0.0;
  send_command(player, (QfCommand){.kind = QF_COMMAND_SEEK, .value = player->expected_s});
}

bool
qf_player_is_playing(const QfPlayer* const player)
{
  return look(player).is_playing;
}

double
qf_player_get_position(const QfPlayer* const player)
{
  const QfSnapshot snapshot = look(player);
  return fmin(qf_snapshot_carried(&snapshot, qf_player_now_s()), player->length_s);
}

bool
qf_player_has_ended(const QfPlayer* const player)
{
  return qf_player_get_position(player) >= player->length_s;
}

QfTime
qf_player_get_score_time(const QfPlayer* const player)
{
  const double position_s = qf_player_get_position(player) + 1e-6; // Rounding of a seek
  size_t       first      = 0;
  size_t       last       = player->n_marks;

  while (first < last) { // Marks before `first` are reached, those from `last` on are not
    const size_t middle = first + (last - first) / 2U;
    if (player->marks[middle].at_s <= position_s) {
      first = middle + 1U;
    } else {
      last = middle;
    }
  }

  return first ? player->marks[first - 1U].score_time : QF_TIME_ZERO;
}

void
qf_player_set_level(QfPlayer* const player, const double level_db)
{
  send_value(player, QF_COMMAND_LEVEL, level_db);
}

void
qf_player_set_speed(QfPlayer* const player, const double factor)
{
  send_value(player, QF_COMMAND_SPEED, factor);
}

void
qf_player_set_loop(QfPlayer* const player, const bool loops)
{
  send_value(player, QF_COMMAND_LOOP, loops ? 1.0 : 0.0);
}

void
qf_player_set_loop_range(QfPlayer* const player, const double from_s, const double to_s)
{
  player->expected_s      = qf_player_get_position(player);
  player->expects_playing = qf_player_is_playing(player);
  send_command(player,
               (QfCommand){.kind = QF_COMMAND_LOOP_RANGE, .value = from_s, .end_value = to_s});
}

void
qf_player_set_tuning(QfPlayer* const player, const QfTuning tuning)
{
  player->expected_s      = qf_player_get_position(player);
  player->expects_playing = qf_player_is_playing(player);
  send_command(player, (QfCommand){.kind = QF_COMMAND_TUNE, .tuning = tuning});
}

double
qf_player_get_peak_db(QfPlayer* const player)
{
  return qf_meter_take_peak_db(&player->meter);
}

double
qf_player_get_level_db(const QfPlayer* const player)
{
  return qf_meter_get_level_db(&player->meter);
}

bool
qf_player_take_notice(QfPlayer* const player, QfError* const notice)
{
  if (player->has_notice) {
    *notice            = player->notice;
    player->has_notice = false;
    return true;
  }
  if (!qf_player_is_ready(player)) {
    return false;
  }
  change_driver(player);
  if (player->missing.text[0]) {
    *notice         = player->missing;
    player->missing = (QfError){0};
    return true;
  }
  return player->keeper && qf_keeper_take_notice(player->keeper, notice);
}
