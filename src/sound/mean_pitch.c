// SPDX-License-Identifier: MIT
#include "mean_pitch.h"

#include <math.h>
#include <stdlib.h>

enum {
  STEPS_A_PERIOD = 4,  ///< What is kept after turning; partials then fall on nulls
  N_PERIODS      = 20, ///< Of the filter: its first nulls are 170 cents away
  HOPS           = 8,  ///< Frames begin at every eighth of the filter
  N_TAPS_MAX     = 512,
  N_BANDS        = 3,
};

// What begins at once and dies away would otherwise be judged by its first moments.
static const double settling_s = 0.3;

// Frequency ratios of the bands looked at: the tone, and a tone under and over it.
static const double bands[N_BANDS] = {1.0, 0.8908987, 1.1224620};

/// A complex number for either side
typedef struct {
  double left[2];
  double right[2];
} Turned;

/// A filter that lets through what is near one band's frequency
typedef struct {
  size_t n_taps;
  double taps[N_BANDS][N_TAPS_MAX][2];
} Filter;

static void
add_product(double sum[2], const double a[2], const double b[2])
{
  sum[0] += a[0] * b[0] - a[1] * b[1];
  sum[1] += a[0] * b[1] + a[1] * b[0];
}

/// Add a times b conjugated
static void
add_turn(double sum[2], const double a[2], const double b[2], const double weight)
{
  sum[0] += weight * (a[0] * b[0] + a[1] * b[1]);
  sum[1] += weight * (a[1] * b[0] - a[0] * b[1]);
}

static double
square(const double z[2])
{
  return z[0] * z[0] + z[1] * z[1];
}

/// Turn the frames back by a frequency and keep the mean of every few
static void
turn_back(const float* const frames,
          const size_t       n_steps,
          const size_t       step,
          const double       angle,
          Turned* const      turned)
{
  const double unit[2] = {cos(angle), -sin(angle)};
  double       turn[2] = {1.0 / (double)step, 0.0};
  for (size_t i = 0; i < n_steps; ++i) {
    Turned sum = {{0.0, 0.0}, {0.0, 0.0}};
    for (size_t n = i * step; n < (i + 1U) * step; ++n) {
      double next[2] = {0.0, 0.0};
      for (size_t part = 0; part < 2; ++part) {
        sum.left[part] += turn[part] * (double)frames[2U * n];
        sum.right[part] += turn[part] * (double)frames[2U * n + 1U];
      }
      add_product(next, turn, unit);
      turn[0] = next[0];
      turn[1] = next[1];
    }
    turned[i] = sum;
  }
}

/// A Hann window for each band, its sum one; `angle` is that of the frequency in a step
static void
make_filter(Filter* const filter, const size_t n_taps, const double angle)
{
  filter->n_taps = n_taps;
  for (size_t band = 0; band < N_BANDS; ++band) {
    const double apart = (bands[band] - 1.0) * angle;
    for (size_t i = 0; i < n_taps; ++i) {
      const double window      = 1.0 - cos(2.0 * M_PI * ((double)i + 0.5) / (double)n_taps);
      filter->taps[band][i][0] = window * cos(apart * (double)i) / (double)n_taps;
      filter->taps[band][i][1] = -window * sin(apart * (double)i) / (double)n_taps;
    }
  }
}

static Turned
filtered(const Filter* const filter, const size_t band, const Turned* const turned)
{
  Turned sum = {{0.0, 0.0}, {0.0, 0.0}};
  for (size_t i = 0; i < filter->n_taps; ++i) {
    add_product(sum.left, filter->taps[band][i], turned[i].left);
    add_product(sum.right, filter->taps[band][i], turned[i].right);
  }
  return sum;
}

/// `n_settling` steps count gradually
static QfPartial
look_at(const Filter* const filter,
        const Turned* const turned,
        const size_t        n_steps,
        const size_t        n_settling)
{
  const size_t hop      = filter->n_taps / HOPS;
  double       turn[2]  = {0.0, 0.0};
  double       power    = 0.0;
  double       apart    = 0.0;
  size_t       n_frames = 0;
  size_t       n_apart  = 0;
  Turned       before   = {{0.0, 0.0}, {0.0, 0.0}};
  for (size_t at = 0; at + filter->n_taps <= n_steps; at += hop, ++n_frames) {
    const Turned now    = filtered(filter, 0, turned + at);
    const double weight = fmin((double)at / (double)n_settling, 1.0);
    add_turn(turn, now.left, before.left, weight);
    add_turn(turn, now.right, before.right, weight);
    power += square(now.left) + square(now.right);
    before = now;

    for (size_t band = 1; band < N_BANDS && n_frames % HOPS == 0; ++band) {
      const Turned other = filtered(filter, band, turned + at);
      apart += square(other.left) + square(other.right);
    }
    n_apart += n_frames % HOPS == 0;
  }

  const double mean = power / (double)n_frames;
  return (QfPartial){.power    = 2.0 * mean,
                     .cents    = atan2(turn[1], turn[0]) / (double)hop,
                     .contrast = mean / (apart / (double)n_apart + 1e-30)};
}

bool
qf_mean_pitch(const float* const frames,
              const size_t       n_frames,
              const int          sample_rate,
              const double       hz,
              QfPartial* const   partial)
{
  const double period  = sample_rate / hz;
  const size_t step    = period > STEPS_A_PERIOD ? (size_t)(period / STEPS_A_PERIOD) : 1U;
  const size_t n_taps  = (size_t)(N_PERIODS * period / (double)step) / HOPS * HOPS;
  const size_t n_steps = n_frames / step;
  if (n_taps < HOPS || n_taps > N_TAPS_MAX || n_steps < n_taps + n_taps / HOPS) {
    return false;
  }

  Turned* const turned = (Turned*)calloc(n_steps, sizeof(Turned));
  Filter* const filter = (Filter*)malloc(sizeof(Filter));
  if (turned && filter) {
    const double angle = 2.0 * M_PI / period;
    turn_back(frames, n_steps, step, angle, turned);
    make_filter(filter, n_taps, angle * (double)step);
    *partial =
      look_at(filter, turned, n_steps, (size_t)(settling_s * sample_rate / (double)step) + 1U);

    // From an angle a step to a ratio of frequencies
    partial->cents = 1200.0 * log2(1.0 + partial->cents / (angle * (double)step));
  }

  const bool is_ok = turned && filter;
  free(turned);
  free(filter);
  return is_ok;
}
