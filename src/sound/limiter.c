// SPDX-License-Identifier: MIT
#include "limiter.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>

enum {
  N_LANES = 8,
};

static const double lookahead_s = 0.005;
static const double release_s   = 0.08;

// A gain that rounding would keep from ever becoming one again.
static const double nearly = 1e-7;

void
qf_limiter_init(QfLimiter* const limiter, const int sample_rate, const double ceiling_db)
{
  const size_t window = (size_t)lrint(lookahead_s * sample_rate);
  assert(window > 0 && window <= QF_LIMITER_MAX_WINDOW);

  *limiter = (QfLimiter){.window   = window,
                         .ceiling  = (float)pow(10.0, ceiling_db / 20.0),
                         .release  = 1.0 - exp(-1.0 / (release_s * sample_rate)),
                         .envelope = 1.0,
                         .sum      = (double)window};
  for (size_t i = 0; i < window; ++i) {
    limiter->gains[i] = 1.0;
  }
}

size_t
qf_limiter_delay(const QfLimiter* const limiter)
{
  return limiter->window - 1U;
}

/// Smallest gain needed by any frame of the window that ends with this one
static double
minimum_with(QfLimiter* const self, const double needed)
{
  const size_t   window = self->window;
  const uint64_t now    = self->n_frames;

  // What is followed by a smaller gain can never be the minimum again.
  while (self->n_minima && self->minima[(self->first + self->n_minima - 1U) % window] >= needed) {
    --self->n_minima;
  }
  if (self->n_minima && self->minima_at[self->first] + window <= now) {
    self->first = (self->first + 1U) % window;
    --self->n_minima;
  }

  const size_t last     = (self->first + self->n_minima) % window;
  self->minima[last]    = needed;
  self->minima_at[last] = now;
  ++self->n_minima;
  return self->minima[self->first];
}

static float
clamped(const float sample, const float ceiling)
{
  return fminf(fmaxf(sample, -ceiling), ceiling);
}

/// Limit one frame at a place in the rings
static void
limit_frame(QfLimiter* const self, float* const frame, const size_t at)
{
  const float  peak = fmaxf(fabsf(frame[0]), fabsf(frame[1]));
  const double held = minimum_with(self, peak > self->ceiling ? self->ceiling / peak : 1.0);

  self->envelope =
    held < self->envelope ? held : self->envelope + (held - self->envelope) * self->release;
  if (self->envelope > 1.0 - nearly) {
    self->envelope = 1.0;
  }
  self->n_idle = held < 1.0 || self->envelope < 1.0 ? 0U : self->n_idle + 1U;
  self->sum += self->envelope - self->gains[at];
  self->gains[at] = self->envelope;

  const float  gain   = (float)(self->sum / (double)self->window);
  const size_t oldest = at + 1U < self->window ? at + 1U : 0U;
  self->delay[at][0]  = frame[0];
  self->delay[at][1]  = frame[1];

  // The clamp only takes away what the rounding of the average may have left.
  frame[0] = clamped(self->delay[oldest][0] * gain, self->ceiling);
  frame[1] = clamped(self->delay[oldest][1] * gain, self->ceiling);
}

/// Highest sample; several maxima side by side, which the compiler makes one instruction of
static float
highest(const float* const samples, const size_t n_samples)
{
  float  peaks[N_LANES] = {0.0F};
  size_t i              = 0;
  for (; i + N_LANES <= n_samples; i += N_LANES) {
    for (size_t lane = 0; lane < N_LANES; ++lane) {
      const float height = fabsf(samples[i + lane]);
      peaks[lane]        = height > peaks[lane] ? height : peaks[lane];
    }
  }
  for (; i < n_samples; ++i) {
    peaks[0] = fmaxf(peaks[0], fabsf(samples[i]));
  }
  for (size_t lane = 1; lane < N_LANES; ++lane) {
    peaks[0] = fmaxf(peaks[0], peaks[lane]);
  }
  return peaks[0];
}

/// Frames before one over the ceiling
static size_t
count_low(const QfLimiter* const self, const float* const frames, const size_t n_frames)
{
  if (highest(frames, 2U * n_frames) <= self->ceiling) {
    return n_frames;
  }

  size_t n = 0;
  while (fabsf(frames[2U * n]) <= self->ceiling && fabsf(frames[2U * n + 1U]) <= self->ceiling) {
    ++n;
  }
  return n;
}

/// Move frames into the ring from a place on, or out of it
static void
move_frames(QfLimiter* const self,
            const size_t     at,
            float* const     frames,
            const size_t     n_frames,
            const bool       is_in)
{
  const size_t n_first = self->window - at < n_frames ? self->window - at : n_frames;
  const size_t size    = 2U * sizeof(float);
  if (is_in) {
    memcpy(self->delay[at], frames, n_first * size);
    memcpy(self->delay[0], frames + 2U * n_first, (n_frames - n_first) * size);
  } else {
    memcpy(frames, self->delay[at], n_first * size);
    memcpy(frames + 2U * n_first, self->delay[0], (n_frames - n_first) * size);
  }
}

/// Only delay; returns the frames done before one that needs more
static size_t
pass(QfLimiter* const self, float* const frames, const size_t n_frames)
{
  const size_t n_low = count_low(self, frames, n_frames);
  for (size_t i = 0; i < n_low;) {
    float        delayed[2U * QF_LIMITER_MAX_WINDOW];
    const size_t at = (size_t)(self->n_frames % self->window);
    const size_t n  = n_low - i < self->window - 1U ? n_low - i : self->window - 1U;

    move_frames(self, (at + 1U) % self->window, delayed, n, false);
    move_frames(self, at, frames + 2U * i, n, true);
    memcpy(frames + 2U * i, delayed, 2U * n * sizeof(float));
    self->n_frames += n;
    i += n;
  }
  return n_low;
}

void
qf_limiter_process(QfLimiter* const self, float* const frames, const size_t n_frames)
{
  for (size_t i = 0; i < n_frames;) {
    if (self->n_idle > self->window) { // All gains in use are one
      self->n_minima = 0;
      self->sum      = (double)self->window;
      i += pass(self, frames + 2U * i, n_frames - i);
    }
    if (i < n_frames) {
      limit_frame(self, frames + 2U * i, (size_t)(self->n_frames % self->window));
      ++self->n_frames;
      ++i;
    }
  }
}
