// SPDX-License-Identifier: MIT
#include "player_private.h"

#include <math.h>
#include <string.h>
#include <time.h>

// How often the clock performs, and how much it makes up for at most.
static const double tick_s         = 0.01;
static const double max_catch_up_s = 1.0;

// How far a position is carried on beyond what was performed.
static const double max_carry_s = 0.05;

// Before the end of a loop by this.
static const double least_s = 0.001;

double
qf_player_now_s(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

static void
obey(QfPlayer* const self, const QfCommand* const command)
{
  QfPerformer* const performer = &self->performer;

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
      self->tuning = command->tuning;
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
    obey(self, &command);
    self->serial = command.serial;
  }
}

/// Tell where it is: `position_s` was heard at `time_s`, and may be carried on by `carry_s`
static void
tell(QfPlayer* const self, const double position_s, const double time_s, const double carry_s)
{
  const QfPerformer* const performer = &self->performer;
  const double             reached_s = qf_performer_get_position(performer);
  const double             origin_s  = performer->origin_s;
  const bool is_moving = performer->wants_play && performer->is_running && !performer->has_jump;

  QfSnapshot snapshot = {.serial     = self->serial,
                         .is_playing = performer->wants_play,
                         .position_s = reached_s,
                         .time_s     = time_s,
                         .low_s      = reached_s,
                         .high_s     = reached_s};
  if (is_moving) {
    // Within one sounding stretch the position never steps back.
    const bool   goes_on = self->last_told.speed > 0.0 && self->told_origin_s == origin_s;
    const double shown_s =
      goes_on ? qf_snapshot_carried(&self->last_told, qf_player_now_s()) : origin_s;

    snapshot.position_s = position_s;
    snapshot.speed      = performer->speed;
    snapshot.high_s     = reached_s + carry_s * performer->speed;
    if (performer->loops) { // What lies behind the loop is never shown
      const double last_s = qf_performer_get_end(performer) - least_s;
      snapshot.high_s     = fmax(reached_s, fmin(snapshot.high_s, last_s));
    }
    snapshot.low_s = fmin(fmax(origin_s, shown_s), snapshot.high_s);
  }

  self->last_told     = snapshot;
  self->told_origin_s = origin_s;
  qf_told_write(&self->told, snapshot);
}

void
qf_player_fill(QfPlayer* const self, float* const left, float* const right, const size_t n_frames)
{
  const double time_s = qf_player_now_s();
  atomic_store(&self->trusted_s, fmax(atomic_load(&self->trusted_s), time_s + QF_PLAYER_STALL_S));
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
  tell(self, qf_performer_get_position(&self->performer), qf_player_now_s(), max_carry_s);
  return left_s;
}

// The clock

bool
qf_player_is_device_alive(const QfPlayer* const self)
{
  return qf_player_now_s() < atomic_load(&self->trusted_s);
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
    wait_until(&self->wake, QF_PLAYER_STALL_S / 2.0);
  } else if (atomic_load(&self->told.is_playing)) {
    wait_until(&self->wake, tick_s);
  } else {
    sem_wait(&self->wake);
  }
}

void*
qf_player_run_clock(void* const data)
{
  QfPlayer* const self   = (QfPlayer*)data;
  double          last_s = qf_player_now_s();
  double          left_s = 0.0;

  while (!atomic_load(&self->quits)) {
    const bool is_alive   = qf_player_is_device_alive(self);
    const bool was_moving = atomic_load(&self->told.is_playing) && !atomic_load(&self->is_starting);
    if (!is_alive && !atomic_flag_test_and_set(&self->is_busy)) {
      const double time_s = qf_player_now_s();
      left_s              = perform_unheard(self, was_moving ? left_s + time_s - last_s : 0.0);
      last_s              = time_s;
      atomic_flag_clear(&self->is_busy);
    } else {
      last_s = qf_player_now_s();
    }

    rest(self, is_alive);
  }

  return NULL;
}
