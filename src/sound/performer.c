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

/// Count frames from here on
static void
anchor(QfPerformer* const self, const double position_s)
{
  self->position_s = position_s;
  self->anchor_s   = position_s;
  self->n_frames   = 0;
}

void
qf_performer_load(QfPerformer* const self, const QfEvents* const events, const QfClips* const clips)
{
  if (self->has_incoming) {
    retire(self, self->incoming);
  }

  self->incoming       = events;
  self->incoming_clips = clips;
  self->has_incoming   = true;
  self->has_jump       = true;
  self->jump_to_s      = 0.0;
  qf_performer_set_loop_range(self, 0.0, 0.0);

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
  anchor(self, self->position_s);
  self->speed = within(factor, min_speed, max_speed);
}

void
qf_performer_set_loop_range(QfPerformer* const self, const double from_s, const double to_s)
{
  const bool is_span = from_s >= 0.0 && to_s > from_s;
  self->loop_from_s  = is_span ? from_s : 0.0;
  self->loop_to_s    = is_span ? to_s : 0.0;
  anchor(self, self->position_s);
}

// Clips

static void
begin_clip(QfPerformer* const self, const QfEvent* const event, const ptrdiff_t at)
{
  const bool          is_known = self->clips && event->clip < self->clips->n_clips;
  const QfClip* const clip     = is_known ? &self->clips->clips[event->clip] : NULL;
  if (!clip || at >= (ptrdiff_t)clip->n_frames) {
    return;
  }

  memmove(self->playing + 1, self->playing, sizeof(self->playing) - sizeof(self->playing[0]));
  self->playing[0] = (QfPlayingClip){clip, at, (float)pow(10.0, event->gain_db / 20.0)};
}

/// Add what sounds of the clips; the music's makeup isn't theirs
static void
add_clips(QfPerformer* const self, float* const frames, const size_t n_frames)
{
  const float quiet = (float)pow(10.0, -makeup_db / 20.0);
  for (size_t i = 0; i < QF_PERFORMER_MAX_CLIPS; ++i) {
    QfPlayingClip* const playing = &self->playing[i];
    const float          gain    = playing->gain * quiet;
    for (size_t n = 0; playing->clip && n < n_frames; ++n, ++playing->at) {
      if (playing->at >= (ptrdiff_t)playing->clip->n_frames) {
        playing->clip = NULL;
      } else if (playing->at >= 0) {
        const float* const frame = &playing->clip->frames[2 * playing->at];
        frames[2U * n] += gain * frame[0];
        frames[2U * n + 1U] += gain * frame[1];
      }
    }
  }
}

// Going on

static void
apply(QfPerformer* const self, const QfEvent* const event, const size_t frame)
{
  if (event->kind == QF_EVENT_CLIP) {
    begin_clip(self, event, -(ptrdiff_t)frame);
  } else {
    qf_engine_apply(self->engine, event, frame);
  }
}

/// What the events before a moment leave behind
typedef struct {
  const QfEvent* programs[N_CHANNELS];     ///< Last of a channel, or NULL
  const QfEvent* gains[N_CHANNELS];        ///< The same
  uint8_t        held[N_CHANNELS][N_KEYS]; ///< Velocities of sounding notes
} Trail;

static void
follow(Trail* const trail, const QfEvent* const event)
{
  const size_t channel = event->channel % N_CHANNELS;
  switch (event->kind) {
    case QF_EVENT_NOTE_ON:
      trail->held[channel][event->key % N_KEYS] = event->velocity;
      break;
    case QF_EVENT_NOTE_OFF:
      trail->held[channel][event->key % N_KEYS] = 0;
      break;
    case QF_EVENT_PROGRAM:
      trail->programs[channel] = event;
      break;
    case QF_EVENT_GAIN:
      trail->gains[channel] = event;
      break;
    case QF_EVENT_CLIP:
    case QF_EVENT_MARK:
    case QF_EVENT_END:
      break;
  }
}

/// Bring the engine to what a trail leads to, sounding notes struck again
static void
restore(QfEngine* const engine, const Trail* const trail)
{
  for (size_t channel = 0; channel < N_CHANNELS; ++channel) {
    const QfEvent* const events[] = {trail->programs[channel], trail->gains[channel]};
    for (size_t i = 0; i < 2; ++i) {
      if (events[i]) {
        qf_engine_apply(engine, events[i], 0);
      }
    }
  }

  for (size_t i = 0; i < N_CHANNELS * (size_t)N_KEYS; ++i) {
    const QfEvent event = {.kind     = QF_EVENT_NOTE_ON,
                           .channel  = (uint8_t)(i / N_KEYS),
                           .key      = (uint8_t)(i % N_KEYS),
                           .velocity = trail->held[i / N_KEYS][i % N_KEYS]};
    if (event.velocity) {
      qf_engine_apply(engine, &event, 0);
    }
  }
}

/// Come to the state there would have been here; nothing may be held
static void
chase(QfPerformer* const self, const bool is_heard)
{
  const QfEvents* const events = self->events;
  Trail                 trail  = {0};

  memset(self->playing, 0, sizeof(self->playing));
  for (self->next = 0; events && self->next < events->n_events; ++self->next) {
    const QfEvent* const event  = &events->events[self->next];
    const bool           is_off = event->kind == QF_EVENT_NOTE_OFF;
    if (event->at_s >= self->position_s + (is_off ? rounding_s : -rounding_s)) {
      break;
    }

    follow(&trail, event);
    if (event->kind == QF_EVENT_CLIP) {
      begin_clip(self, event, (ptrdiff_t)frames_in(self, self->position_s - event->at_s));
    }
  }

  if (is_heard) {
    restore(self->engine, &trail);
  }
}

/// Do, now that it is silent, what waited for silence
static void
settle(QfPerformer* const self, const bool is_heard)
{
  if (self->has_incoming) {
    const QfEvents* const old = self->events;

    self->events       = self->incoming;
    self->clips        = self->incoming_clips;
    self->incoming     = NULL;
    self->has_incoming = false;
    retire(self, old);
  }
  if (self->has_jump) {
    anchor(self, self->jump_to_s);
    self->has_jump = false;
  }
  memset(self->playing, 0, sizeof(self->playing));
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
    if (is_heard) {
      qf_engine_hush(self->engine);
    }
    chase(self, is_heard);
    self->origin_s   = self->position_s;
    self->is_running = true;
  }
  if (self->fade.target < 1.0F) {
    qf_ramp_start(&self->fade, 1.0F, frames_in(self, fade_s));
  }
  return true;
}

/// Frames from now until a moment of the events, negative for what was missed
static int64_t
frames_until(const QfPerformer* const self, const double at_s)
{
  return llround((at_s - self->anchor_s) * self->sample_rate / self->speed) - self->n_frames;
}

static bool
has_loop_range(const QfPerformer* const self)
{
  return self->loops && self->loop_to_s > self->loop_from_s && self->loop_from_s < length_of(self);
}

/// Where it ends, or begins again
static double
end_of(const QfPerformer* const self)
{
  const double length_s = length_of(self);

  // Whoever goes on behind the range hears the rest first.
  return has_loop_range(self) && self->anchor_s < self->loop_to_s ? fmin(self->loop_to_s, length_s)
                                                                  : length_s;
}

double
qf_performer_get_end(const QfPerformer* const self)
{
  return end_of(self);
}

/// Begin the loop again; what sounds rings off, what was held there is struck
static void
wrap(QfPerformer* const self, const double end_s, const bool is_heard)
{
  const double from_s = has_loop_range(self) ? self->loop_from_s : 0.0;
  const double over_s =
    fmin(self->position_s - end_s, QF_ENGINE_BLOCK * max_speed / self->sample_rate);

  anchor(self, from_s);
  self->origin_s = from_s;
  if (is_heard) {
    qf_engine_release(self->engine);
  }
  chase(self, is_heard);
  anchor(self, fmin(from_s + over_s, length_of(self))); // Keeps the beat
}

/// Whole blocks of a number of frames, at least one
static size_t
whole_blocks(const int64_t n_frames, const size_t max_frames)
{
  const int64_t n = n_frames - n_frames % QF_ENGINE_BLOCK;
  return n < QF_ENGINE_BLOCK ? QF_ENGINE_BLOCK : n < (int64_t)max_frames ? (size_t)n : max_frames;
}

/// Apply the events of one block, each at its frame; returns the frames until the next ones
static size_t
begin_block(QfPerformer* const self, const bool is_heard, const size_t max_frames)
{
  const QfEvents* const events   = self->events;
  const double          end_s    = end_of(self);
  const int64_t         n_to_end = frames_until(self, end_s) + QF_ENGINE_BLOCK - 1;
  size_t                n_frames = whole_blocks(n_to_end, max_frames);

  for (; events && self->next < events->n_events; ++self->next) {
    const QfEvent* const event  = &events->events[self->next];
    const int64_t        n_left = frames_until(self, event->at_s);
    if (n_left >= QF_ENGINE_BLOCK || (event->at_s >= end_s && end_s < length_of(self))) {
      n_frames = whole_blocks(n_left, n_frames);
      break;
    }
    if (is_heard) {
      apply(self, event, n_left > 0 ? (size_t)n_left : 0U);
    }
  }
  return n_frames;
}

/// Let time go by that was performed
static void
advance(QfPerformer* const self, const size_t n_frames, const bool is_heard)
{
  const double end_s = end_of(self);

  self->n_frames += (int64_t)n_frames;
  self->position_s =
    self->anchor_s + (double)self->n_frames * self->speed / (double)self->sample_rate;
  if (self->position_s < end_s) {
    return;
  }

  if (self->loops && self->events && length_of(self) > 0.0) {
    wrap(self, end_s, is_heard);
  } else {
    anchor(self, length_of(self));
    self->wants_play = false;
  }
}

static void
apply_gains(QfPerformer* const self, float* const frames, const size_t n_frames)
{
  if (self->fade.n_left || self->level.n_left) {
    for (size_t i = 0; i < n_frames; ++i) {
      const float gain = qf_ramp_next(&self->fade) * qf_ramp_next(&self->level);
      frames[2U * i] *= gain;
      frames[2U * i + 1U] *= gain;
    }
    return;
  }

  const float gain = self->fade.value * self->level.value;
  for (size_t i = 0; i < 2U * n_frames; ++i) {
    frames[i] *= gain;
  }
}

static void
fill(QfPerformer* const self, float* const frames, const size_t n_frames)
{
  if (self->engine && (self->is_running || !is_silent(self))) {
    qf_engine_render(self->engine, frames, n_frames);
    add_clips(self, frames, n_frames);
    apply_gains(self, frames, n_frames);
  } else {
    memset(frames, 0, 2U * n_frames * sizeof(float));
    qf_ramp_skip(&self->fade, n_frames);
    qf_ramp_skip(&self->level, n_frames);
  }

  qf_limiter_process(&self->limiter, frames, n_frames);
}

size_t
qf_performer_step(QfPerformer* const self, float* const frames, const size_t max_frames)
{
  const bool is_heard = self->engine && frames;
  const bool goes_on  = prepare(self, is_heard);
  size_t     n_frames = QF_ENGINE_BLOCK;

  self->is_stale = !is_heard;
  if (goes_on) {
    n_frames = begin_block(self, is_heard, max_frames);
  }

  if (frames) {
    fill(self, frames, n_frames);
  } else {
    qf_ramp_skip(&self->fade, n_frames);
    qf_ramp_skip(&self->level, n_frames);
  }
  if (goes_on) {
    advance(self, n_frames, is_heard);
  }
  return n_frames;
}
