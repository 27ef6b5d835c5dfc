// SPDX-License-Identifier: MIT
#include "player.h"

#include "command_queue.h"
#include "device.h"
#include "engine.h"
#include "keeper.h"
#include "meter.h"
#include "performer.h"

#include <math.h>
#include <pthread.h>
#include <semaphore.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

// Three threads: the window's sends commands and reads what is published; the
// device's performs; the clock performs in its stead while there is no device,
// or when one has stopped asking. Who performs holds `is_busy`, which nobody
// waits for.

// A device that asked for nothing this long is taken for dead. It is given more
// time to come to life: wireless ones and idle sound servers take seconds.
static const double stall_s   = 0.7;
static const double startup_s = 4.0;

// One that asked for nothing this much longer is closed, and another opened.
static const double loss_s = 1.5;

// How often the clock performs, and how much it makes up for at most.
static const double tick_s         = 0.01;
static const double max_catch_up_s = 1.0;

// How far a position is carried on beyond what was performed.
static const double max_carry_s = 0.05;

/// What the performing thread tells the window's: written by one at a time
typedef struct {
  atomic_uint    n_writes; ///< Odd while it is being written
  atomic_uint    serial;   ///< Last command obeyed
  atomic_bool    is_playing;
  _Atomic double position_s; ///< Heard at `time_s`
  _Atomic double time_s;
  _Atomic double speed;
  _Atomic double low_s; ///< The position heard is not before this
  _Atomic double high_s;
} Published;

/// The same, as read at one moment
typedef struct {
  unsigned serial;
  bool     is_playing;
  double   position_s;
  double   time_s;
  double   speed;
  double   low_s;
  double   high_s;
} Snapshot;

/// Events on their way through the player
typedef struct LoadedImpl {
  QfEvents           events;
  QfClips            clips;
  struct LoadedImpl* next;
} Loaded;

/// A place in time where the score's time is known
typedef struct {
  double at_s;
  QfTime score_time;
} Mark;

struct QfPlayerImpl {
  // The window's thread
  Mark*    marks; ///< Owned
  size_t   n_marks;
  unsigned n_sent;
  bool     expects_playing;
  double   expected_s; ///< Position right after the last command
  Loaded*  loaded;     ///< Owned: all events not yet retired
  double   length_s;
  QfError  notice; ///< Of clips
  bool     has_notice;

  // Shared
  QfCommandQueue queue;
  QfCommandQueue retired; ///< Back to the window's thread: events to be freed
  Published      published;
  _Atomic double trusted_s; ///< Until when the device is taken for alive
  atomic_bool    quits;
  atomic_flag    is_busy;
  sem_t          wake;

  // Whoever is busy
  QfPerformer performer;
  QfEngine*   engine; ///< Owned
  double      latency_s;
  float       block[2U * QF_ENGINE_BLOCK];
  size_t      n_in_block; ///< Frames of the block not yet given away
  unsigned    serial;     ///< Last command obeyed
  Snapshot    told;       ///< Last published
  double      told_origin_s;

  QfMeter   meter;
  QfKeeper* keeper; ///< Owned, may be NULL
  pthread_t clock;
};

static double
now_s(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

// What is published

static void
publish(QfPlayer* const self, const Snapshot snapshot)
{
  Published* const published = &self->published;

  atomic_fetch_add(&published->n_writes, 1U);
  atomic_store(&published->serial, snapshot.serial);
  atomic_store(&published->is_playing, snapshot.is_playing);
  atomic_store(&published->position_s, snapshot.position_s);
  atomic_store(&published->time_s, snapshot.time_s);
  atomic_store(&published->speed, snapshot.speed);
  atomic_store(&published->low_s, snapshot.low_s);
  atomic_store(&published->high_s, snapshot.high_s);
  atomic_fetch_add(&published->n_writes, 1U);
}

static Snapshot
read_published(const QfPlayer* const self)
{
  const Published* const published = &self->published;
  Snapshot               snapshot  = {0};
  unsigned               before    = 0;
  do {
    before   = atomic_load(&published->n_writes);
    snapshot = (Snapshot){.serial     = atomic_load(&published->serial),
                          .is_playing = atomic_load(&published->is_playing),
                          .position_s = atomic_load(&published->position_s),
                          .time_s     = atomic_load(&published->time_s),
                          .speed      = atomic_load(&published->speed),
                          .low_s      = atomic_load(&published->low_s),
                          .high_s     = atomic_load(&published->high_s)};
  } while (before % 2U || before != atomic_load(&published->n_writes));
  return snapshot;
}

// Performing

static void
retire_cb(const QfEvents* const events, void* const data)
{
  QfPlayer* const self = (QfPlayer*)data;

  // Should the queue be full, they are freed with the player.
  qf_command_queue_push(&self->retired, (QfCommand){.kind = QF_COMMAND_LOAD, .events = events});
}

static void
obey(QfPerformer* const performer, const QfCommand* const command)
{
  switch (command->kind) {
    case QF_COMMAND_LOAD:
      qf_performer_load(performer, command->events, command->clips);
      break;
    case QF_COMMAND_PLAY:
      qf_performer_play(performer);
      break;
    case QF_COMMAND_PAUSE:
      qf_performer_pause(performer);
      break;
    case QF_COMMAND_SEEK:
      qf_performer_seek(performer, command->value);
      break;
    case QF_COMMAND_LEVEL:
      qf_performer_set_level(performer, command->value);
      break;
    case QF_COMMAND_SPEED:
      qf_performer_set_speed(performer, command->value);
      break;
    case QF_COMMAND_LOOP:
      performer->loops = command->value > 0.0;
      break;
    case QF_COMMAND_LOOP_RANGE:
      qf_performer_set_loop_range(performer, command->value, command->end_value);
      break;
    case QF_COMMAND_TUNE:
      if (performer->engine) {
        qf_engine_tune(performer->engine, command->tuning);
      }
      break;
  }
}

static void
obey_all(QfPlayer* const self)
{
  QfCommand command;
  while (qf_command_queue_pop(&self->queue, &command)) {
    obey(&self->performer, &command);
    self->serial = command.serial;
  }
}

/// Position at a moment, going on from where it was published
static double
carried(const Snapshot* const snapshot, const double time_s)
{
  const double position_s = snapshot->position_s + (time_s - snapshot->time_s) * snapshot->speed;
  return fmin(fmax(position_s, snapshot->low_s), snapshot->high_s);
}

/// Tell where it is: `position_s` was heard at `time_s`, and may be carried on by `carry_s`
static void
tell(QfPlayer* const self, const double position_s, const double time_s, const double carry_s)
{
  const QfPerformer* const performer = &self->performer;
  const double             reached_s = qf_performer_get_position(performer);
  const double             origin_s  = performer->origin_s;
  const bool is_moving = performer->wants_play && performer->is_running && !performer->has_jump;

  Snapshot snapshot = {.serial     = self->serial,
                       .is_playing = performer->wants_play,
                       .position_s = reached_s,
                       .time_s     = time_s,
                       .low_s      = reached_s,
                       .high_s     = reached_s};
  if (is_moving) {
    // Within one sounding stretch the position never steps back.
    const bool   goes_on = self->told.speed > 0.0 && self->told_origin_s == origin_s;
    const double shown_s = goes_on ? carried(&self->told, now_s()) : origin_s;

    snapshot.position_s = position_s;
    snapshot.speed      = performer->speed;
    snapshot.high_s     = reached_s + carry_s * performer->speed;
    snapshot.low_s      = fmin(fmax(origin_s, shown_s), snapshot.high_s);
  }

  self->told          = snapshot;
  self->told_origin_s = origin_s;
  publish(self, snapshot);
}

void
qf_player_fill(QfPlayer* const self, float* const left, float* const right, const size_t n_frames)
{
  const double time_s = now_s();
  atomic_store(&self->trusted_s, fmax(atomic_load(&self->trusted_s), time_s + stall_s));
  if (atomic_flag_test_and_set(&self->is_busy)) {
    memset(left, 0, n_frames * sizeof(float));
    memset(right, 0, n_frames * sizeof(float));
    return;
  }

  obey_all(self);
  const double begin_s = qf_performer_get_position(&self->performer);
  for (size_t i = 0; i < n_frames; ++i) {
    if (self->n_in_block == 0) {
      qf_performer_step(&self->performer, self->block, QF_ENGINE_BLOCK);
      self->n_in_block = QF_ENGINE_BLOCK;
    }

    const float* const frame = &self->block[2U * (QF_ENGINE_BLOCK - self->n_in_block)];
    left[i]                  = frame[0];
    right[i]                 = frame[1];
    --self->n_in_block;
  }
  qf_meter_add(&self->meter, left, right, n_frames, QF_PLAYER_RATE);

  tell(self, begin_s - self->latency_s * self->performer.speed, time_s, 0.0);
  atomic_flag_clear(&self->is_busy);
}

static void
fill_cb(float* const left, float* const right, const size_t n_frames, void* const data)
{
  QfPlayer* const self = (QfPlayer*)data;
  qf_player_fill(self, left, right, n_frames);
}

/// Perform unheard for as long as went by; returns what is left of less than a block
static double
perform_unheard(QfPlayer* const self, const double passed_s)
{
  const double block_s = (double)QF_ENGINE_BLOCK / QF_PLAYER_RATE;
  double       left_s  = fmin(passed_s, max_catch_up_s);

  for (; left_s >= block_s; left_s -= block_s) {
    qf_performer_step(&self->performer, NULL, QF_ENGINE_BLOCK);
  }

  qf_meter_clear(&self->meter);
  obey_all(self);
  tell(self, qf_performer_get_position(&self->performer), now_s(), max_carry_s);
  return left_s;
}

// The clock

static bool
is_device_alive(const QfPlayer* const self)
{
  return now_s() < atomic_load(&self->trusted_s);
}

static void
wait_until(sem_t* const semaphore, const double seconds)
{
  struct timespec deadline;
  clock_gettime(CLOCK_REALTIME, &deadline);

  const long nanoseconds = deadline.tv_nsec + (long)(seconds * 1e9);
  deadline.tv_sec += nanoseconds / 1000000000L;
  deadline.tv_nsec = nanoseconds % 1000000000L;
  sem_timedwait(semaphore, &deadline);
}

/// Rest until something is to be done: shortly while it performs, else until a command comes
static void
rest(QfPlayer* const self, const bool is_alive)
{
  if (is_alive) {
    wait_until(&self->wake, stall_s / 2.0);
  } else if (atomic_load(&self->published.is_playing)) {
    wait_until(&self->wake, tick_s);
  } else {
    sem_wait(&self->wake);
  }
}

static void*
run_clock(void* const data)
{
  QfPlayer* const self   = (QfPlayer*)data;
  double          last_s = now_s();
  double          left_s = 0.0;

  while (!atomic_load(&self->quits)) {
    const bool is_alive   = is_device_alive(self);
    const bool was_moving = atomic_load(&self->published.is_playing);
    if (!is_alive && !atomic_flag_test_and_set(&self->is_busy)) {
      const double time_s = now_s();
      left_s              = perform_unheard(self, was_moving ? left_s + time_s - last_s : 0.0);
      last_s              = time_s;
      atomic_flag_clear(&self->is_busy);
    } else {
      last_s = now_s();
    }

    rest(self, is_alive);
  }

  return NULL;
}

// The window's side

static void
free_loaded(Loaded* const loaded)
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
    for (Loaded** link = &self->loaded; *link; link = &(*link)->next) {
      if (&(*link)->events == command.events) {
        Loaded* const loaded = *link;

        *link = loaded->next;
        free_loaded(loaded);
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
    // Somebody performs within a second at worst, see stall_s.
    sem_post(&self->wake);
    nanosleep(&(const struct timespec){.tv_nsec = 1000000L}, NULL);
  }
  sem_post(&self->wake);
}

/// What was published, or what will be once all commands are obeyed
static Snapshot
look(const QfPlayer* const self)
{
  const Snapshot snapshot = read_published(self);
  if (snapshot.serial == self->n_sent) {
    return snapshot;
  }

  return (Snapshot){.is_playing = self->expects_playing,
                    .position_s = self->expected_s,
                    .low_s      = self->expected_s,
                    .high_s     = self->expected_s};
}

QfPlayer*
qf_player_new_with(QfEngine* const engine, const double level_db, const double latency_s)
{
  QfPlayer* const self = (QfPlayer*)calloc(1, sizeof(QfPlayer));
  if (!self) {
    qf_engine_free(engine);
    return NULL;
  }

  self->engine    = engine;
  self->latency_s = latency_s;
  qf_performer_init(&self->performer, engine, QF_PLAYER_RATE, level_db);
  self->performer.retire      = retire_cb;
  self->performer.retire_data = self;
  atomic_init(&self->trusted_s, engine ? now_s() + stall_s : -HUGE_VAL);
  atomic_flag_clear(&self->is_busy);
  sem_init(&self->wake, 0, 0);

  if (pthread_create(&self->clock, NULL, run_clock, self)) {
    sem_destroy(&self->wake);
    qf_engine_free(engine);
    free(self);
    return NULL;
  }

  return self;
}

static bool
is_lost_cb(const void* const data)
{
  const QfPlayer* const self = (const QfPlayer*)data;
  return now_s() > atomic_load(&self->trusted_s) + loss_s;
}

static void
opened_cb(void* const data)
{
  QfPlayer* const self = (QfPlayer*)data;
  atomic_store(&self->trusted_s, fmax(atomic_load(&self->trusted_s), now_s() + startup_s));
}

QfStatus
qf_player_keep_device(QfPlayer* const    player,
                      const QfDeviceKind kind,
                      const char* const  driver,
                      QfError* const     error)
{
  const QfDeviceUser user = {fill_cb, is_lost_cb, opened_cb, player};
  const QfStatus     st = qf_keeper_new(kind, driver, QF_PLAYER_RATE, user, &player->keeper, error);
  if (st) {
    atomic_store(&player->trusted_s, -HUGE_VAL);
  }
  return st;
}

static double
device_latency_s(const QfEngine* const engine)
{
  const int n_frames = QF_DEVICE_PERIOD * QF_DEVICE_N_PERIODS;
  return engine ? (double)n_frames / qf_engine_get_rate(engine) : 0.0;
}

QfPlayer*
qf_player_new(const QfSoundSettings settings, QfError* const error)
{
  const bool is_mute = settings.driver && !strcmp(settings.driver, "null");
  QfEngine*  engine  = NULL;

  // Even where nothing is to be heard, a missing SoundFont is told.
  if (is_mute) {
    free(qf_engine_choose_soundfont(settings.soundfont, error));
  } else {
    qf_engine_new(settings.soundfont, settings.tuning, QF_PLAYER_RATE, &engine, error);
  }

  QfPlayer* const self = qf_player_new_with(engine, settings.level_db, device_latency_s(engine));
  if (!self) {
    qf_error_set(error, QF_ERR_NO_MEM, "out of memory while starting the player");
    return NULL;
  }

  if (engine) {
    qf_player_keep_device(self, (QfDeviceKind){qf_device_open, qf_device_close}, settings.driver,
                          error);
  }

  return self;
}

void
qf_player_free(QfPlayer* const player)
{
  if (!player) {
    return;
  }

  qf_keeper_free(player->keeper);
  atomic_store(&player->quits, true);
  sem_post(&player->wake);
  pthread_join(player->clock, NULL);

  while (player->loaded) {
    Loaded* const next = player->loaded->next;
    free_loaded(player->loaded);
    player->loaded = next;
  }

  sem_destroy(&player->wake);
  qf_engine_free(player->engine);
  free(player->marks);
  free(player);
}

bool
qf_player_has_sound(const QfPlayer* const player)
{
  return player->engine && is_device_alive(player);
}

/// Copy the marks of events for qf_player_get_score_time(); without memory there are none
static void
take_marks(QfPlayer* const self, const QfEvents* const events)
{
  free(self->marks);
  self->marks   = (Mark*)calloc(events->n_events + 1U, sizeof(Mark));
  self->n_marks = 0;
  for (size_t i = 0; self->marks && i < events->n_events; ++i) {
    const QfEvent* const event = &events->events[i];
    if (event->kind == QF_EVENT_MARK) {
      self->marks[self->n_marks++] = (Mark){event->at_s, event->score_time};
    }
  }
}

void
qf_player_load(QfPlayer* const player, QfEvents* const events)
{
  free_retired(player);

  Loaded* const loaded = (Loaded*)calloc(1, sizeof(Loaded));
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
  if (player->engine &&
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
  const Snapshot snapshot = look(player);
  return fmin(carried(&snapshot, now_s()), player->length_s);
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
  return player->keeper && qf_keeper_take_notice(player->keeper, notice);
}
