// SPDX-License-Identifier: MIT
#include "performer.h"

#include <math.h>
#include <string.h>

enum {
  N_CHANNELS = 16,
  N_KEYS     = 128,
};

static const double fade_s  = 0.015;
static const double glide_s = 0.1;

// Raises the engine's quiet mix so that 0 dB is as loud as the limiter makes
// sense; at -20 dB four voices lie about 30 dB under full scale.
static const double makeup_db = 30.0;

// Peaks stay under -1 dBFS even after a lossy coder's overshoot.
static const double ceiling_db = -1.5;

static const double min_level_db = -40.0;
static const double min_speed    = 0.25;
static const double max_speed    = 4.0;

// Seconds by which two moments may differ through rounding alone.
static const double rounding_s = 1e-6;

static float
amplitude(const double level_db)
{
  return (float)pow(10.0, (level_db + makeup_db) / 20.0);
}

/// NaN is taken for the lowest
static double
within(const double value, const double low, const double high)
{
  return value >= low ? fmin(value, high) : low;
}

static size_t
frames_in(const QfPerformer* const self, const double seconds)
{
  return (size_t)(seconds * self->sample_rate);
}

static double
length_of(const QfPerformer* const self)
{
  return self->events ? self->events->length_s : 0.0;
}

void
qf_performer_init(QfPerformer* const self,
                  QfEngine* const    engine,
                  const int          sample_rate,
                  const double       level_db)
{
  *self = (QfPerformer){.engine          = engine,
                        .sample_rate     = sample_rate,
                        .speed           = 1.0,
                        .wanted_level_db = within(level_db, min_level_db, 0.0)};
  qf_ramp_start(&self->level, amplitude(self->wanted_level_db), 0);
  qf_limiter_init(&self->limiter, sample_rate, ceiling_db);
}

static void
retire(QfPerformer* const self, const QfEvents* const events)
{
  if (events && self->retire) {
    self->retire(events, self->retire_data);
  }
}

static bool
is_silent(const QfPerformer* const self)
{
  return self->fade.value <= 0.0F && self->fade.n_left == 0;
}

void
qf_performer_load(QfPerformer* const self, const QfEvents* const events)
{
  if (self->has_incoming) {
    retire(self, self->incoming);
  }

  self->incoming     = events;
  self->has_incoming = true;
  self->has_jump     = true;
  self->jump_to_s    = 0.0;

  // Never louder than the events are meant for, nor than the listener allowed.
  const double meant_db = events ? within(events->level_db, min_level_db, 0.0) : 0.0;
  qf_ramp_start(&self->level, amplitude(fmin(self->wanted_level_db, meant_db)),
                is_silent(self) ? 0U : frames_in(self, glide_s));
}

double
qf_performer_get_position(const QfPerformer* const self)
{
  return self->has_jump ? self->jump_to_s : self->position_s;
}

void
qf_performer_play(QfPerformer* const self)
{
  if (!self->has_jump && self->position_s >= length_of(self)) {
    qf_performer_seek(self, 0.0);
  }
  self->wants_play = true;
}

void
qf_performer_pause(QfPerformer* const self)
{
  self->wants_play = false;
}

void
qf_performer_seek(QfPerformer* const self, const double at_s)
{
  const QfEvents* const events = self->has_incoming ? self->incoming : self->events;
  self->has_jump               = true;
  self->jump_to_s              = within(at_s, 0.0, events ? events->length_s : 0.0);
}

void
qf_performer_set_level(QfPerformer* const self, const double level_db)
{
  self->wanted_level_db = within(level_db, min_level_db, 0.0);
  qf_ramp_start(&self->level, amplitude(self->wanted_level_db), frames_in(self, glide_s));
}

void
qf_performer_set_speed(QfPerformer* const self, const double factor)
{
  self->speed = within(factor, min_speed, max_speed);
}

/// Bring the engine to the state it would have had here, sounding notes struck again
static void
chase(QfPerformer* const self, const bool is_heard)
{
  const QfEvents* const events                   = self->events;
  uint8_t               held[N_CHANNELS][N_KEYS] = {0}; // Velocities of sounding notes

  if (is_heard) {
    qf_engine_hush(self->engine);
  }

  for (self->next = 0; events && self->next < events->n_events; ++self->next) {
    const QfEvent* const event  = &events->events[self->next];
    const bool           is_off = event->kind == QF_EVENT_NOTE_OFF;
    if (event->at_s >= self->position_s + (is_off ? rounding_s : -rounding_s)) {
      break;
    }

    if (is_off || event->kind == QF_EVENT_NOTE_ON) {
      held[event->channel % N_CHANNELS][event->key % N_KEYS] = is_off ? 0U : event->velocity;
    } else if (is_heard) {
      qf_engine_apply(self->engine, event);
    }
  }

  for (size_t i = 0; is_heard && i < N_CHANNELS * (size_t)N_KEYS; ++i) {
    const QfEvent event = {.kind     = QF_EVENT_NOTE_ON,
                           .channel  = (uint8_t)(i / N_KEYS),
                           .key      = (uint8_t)(i % N_KEYS),
                           .velocity = held[i / N_KEYS][i % N_KEYS]};
    if (event.velocity) {
      qf_engine_apply(self->engine, &event);
    }
  }
}

/// Do, now that it is silent, what waited for silence
static void
settle(QfPerformer* const self, const bool is_heard)
{
  if (self->has_incoming) {
    const QfEvents* const old = self->events;

    self->events       = self->incoming;
    self->incoming     = NULL;
    self->has_incoming = false;
    retire(self, old);
  }
  if (self->has_jump) {
    self->position_s = self->jump_to_s;
    self->has_jump   = false;
  }
  if (is_heard) {
    qf_engine_hush(self->engine);
  }

  self->is_running = false;
}

/// Fade, jump, load and start as was asked; returns true if time goes on
static bool
prepare(QfPerformer* const self, const bool is_heard)
{
  const bool must_hush = self->has_jump || !self->wants_play;
  if (must_hush && !is_silent(self)) {
    if (self->fade.target > 0.0F) {
      qf_ramp_start(&self->fade, 0.0F, frames_in(self, fade_s));
    }
    return false;
  }

  if (self->has_jump || (self->is_running && !self->wants_play)) {
    settle(self, is_heard);
  }
  if (!self->wants_play) {
    return false;
  }

  if (!self->is_running || (is_heard && self->is_stale)) {
    chase(self, is_heard);
    self->origin_s   = self->position_s;
    self->is_running = true;
  }
  if (self->fade.target < 1.0F) {
    qf_ramp_start(&self->fade, 1.0F, frames_in(self, fade_s));
  }
  return true;
}

/// Apply the events of one block, each at the nearer edge
static void
advance(QfPerformer* const self, const bool is_heard)
{
  const double          span_s = QF_ENGINE_BLOCK * self->speed / self->sample_rate;
  const QfEvents* const events = self->events;

  while (events && self->next < events->n_events &&
         events->events[self->next].at_s < self->position_s + span_s / 2.0) {
    if (is_heard) {
      qf_engine_apply(self->engine, &events->events[self->next]);
    }
    ++self->next;
  }

  self->position_s += span_s;
  if (self->position_s < length_of(self)) {
    return;
  }

  if (self->loops && events) {
    self->position_s = 0.0;
    self->origin_s   = 0.0;
    self->next       = 0;
  } else {
    self->position_s = length_of(self);
    self->wants_play = false;
  }
}

static void
fill(QfPerformer* const self, float* const frames)
{
  if (self->engine && (self->is_running || !is_silent(self))) {
    qf_engine_render(self->engine, frames);
  } else {
    memset(frames, 0, 2U * QF_ENGINE_BLOCK * sizeof(float));
  }

  for (size_t i = 0; i < QF_ENGINE_BLOCK; ++i) {
    const float gain = qf_ramp_next(&self->fade) * qf_ramp_next(&self->level);
    frames[2U * i] *= gain;
    frames[2U * i + 1U] *= gain;
  }

  qf_limiter_process(&self->limiter, frames, QF_ENGINE_BLOCK);
}

void
qf_performer_step(QfPerformer* const self, float* const frames)
{
  const bool is_heard = self->engine && frames;
  const bool goes_on  = prepare(self, is_heard);

  self->is_stale = !is_heard;
  if (goes_on) {
    advance(self, is_heard);
  }

  if (frames) {
    fill(self, frames);
  } else {
    for (size_t i = 0; i < QF_ENGINE_BLOCK; ++i) {
      qf_ramp_next(&self->fade);
      qf_ramp_next(&self->level);
    }
  }
}
