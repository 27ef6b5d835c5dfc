// SPDX-License-Identifier: MIT
#include "spectrum.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

// Made without anything of the program, so that it can contradict it.

enum {
  LEAST_PERIODS = 64, ///< Of a stretch: a line is then at most 54 cents wide to either side
  PADDING       = 2,  ///< Zeros, for twice the points
};

typedef struct {
  double re;
  double im;
} Point;

/// Mean power of both sides at points of frequency
typedef struct {
  double* power; ///< Owned
  size_t  n_points;
  double  hz_a_point;
} Spectrum;

static void
sort_by_reversed_bits(Point* const points, const size_t size)
{
  for (size_t i = 1, j = 0; i < size; ++i) {
    size_t bit = size / 2U;
    for (; j & bit; bit >>= 1U) {
      j ^= bit;
    }
    j ^= bit;
    if (i < j) {
      const Point kept = points[i];
      points[i]        = points[j];
      points[j]        = kept;
    }
  }
}

/// Fast Fourier transform, radix two; `turns` are half a circle. Source: common practice
static void
transform(Point* const points, const size_t size, const Point* const turns)
{
  sort_by_reversed_bits(points, size);
  for (size_t length = 2; length <= size; length *= 2U) {
    for (size_t first = 0; first < size; first += length) {
      for (size_t i = 0; i < length / 2U; ++i) {
        const Point  turn = turns[i * (size / length)];
        Point* const a    = &points[first + i];
        Point* const b    = &points[first + i + length / 2U];
        const Point  c    = {b->re * turn.re - b->im * turn.im, b->re * turn.im + b->im * turn.re};
        *b                = (Point){a->re - c.re, a->im - c.im};
        *a                = (Point){a->re + c.re, a->im + c.im};
      }
    }
  }
}

/// Add the power of a stretch
static void
add_stretch(Spectrum* const    spectrum,
            const float* const frames,
            const size_t       n_frames,
            Point* const       points,
            const Point* const turns)
{
  const size_t size = 2U * spectrum->n_points;
  for (size_t i = 0; i < size; ++i) {
    const double angle  = 2.0 * M_PI * ((double)i + 0.5) / (double)n_frames;
    const double window = 0.5 - 0.5 * cos(angle);
    points[i].re        = i < n_frames ? window * (double)frames[2U * i] : 0.0;
    points[i].im        = i < n_frames ? window * (double)frames[2U * i + 1U] : 0.0;
  }
  transform(points, size, turns);

  // With left as real and right as imaginary part, a frequency and its mirror
  // together have the power of both sides.
  for (size_t i = 1; i < spectrum->n_points; ++i) {
    const Point a = points[i];
    const Point b = points[size - i];
    spectrum->power[i] += a.re * a.re + a.im * a.im + b.re * b.re + b.im * b.im;
  }
}

static Spectrum
spectrum_of(const float* const frames,
            const size_t       n_frames,
            const int          sample_rate,
            const double       hz)
{
  size_t length = 2;
  while ((double)length < LEAST_PERIODS * sample_rate / hz && 2U * length <= n_frames) {
    length *= 2U;
  }

  const size_t   size     = PADDING * length;
  const Spectrum spectrum = {(double*)calloc(size / 2U, sizeof(double)), size / 2U,
                             (double)sample_rate / (double)size};
  Point* const   points   = (Point*)calloc(size, sizeof(Point));
  Point* const   turns    = (Point*)calloc(size / 2U, sizeof(Point));
  assert(spectrum.power && points && turns);
  for (size_t i = 0; i < size / 2U; ++i) {
    const double angle = -2.0 * M_PI * (double)i / (double)size;
    turns[i]           = (Point){cos(angle), sin(angle)};
  }

  Spectrum sum = spectrum;
  for (size_t first = 0; first + length <= n_frames; first += length / 4U) {
    add_stretch(&sum, frames + 2U * first, length, points, turns);
  }
  free(points);
  free(turns);
  return sum;
}

static size_t
point_at(const Spectrum* const spectrum, const double hz)
{
  return (size_t)round(hz / spectrum->hz_a_point);
}

static double
share_of(const Spectrum* const spectrum, const double hz)
{
  const size_t first = point_at(spectrum, hz * exp2(-80.0 / 1200.0));
  const size_t last  = point_at(spectrum, hz * exp2(80.0 / 1200.0));
  double       part  = 0.0;
  double       whole = 0.0;
  for (size_t i = 0; i < spectrum->n_points; ++i) {
    whole += spectrum->power[i];
    part += i >= first && i <= last ? spectrum->power[i] : 0.0;
  }
  return whole > 0.0 ? part / whole : 0.0;
}

double
spectrum_cents(const float* const frames,
               const size_t       n_frames,
               const int          sample_rate,
               const double       hz,
               double* const      share)
{
  Spectrum     spectrum = spectrum_of(frames, n_frames, sample_rate, hz);
  size_t       peak     = point_at(&spectrum, hz * exp2(-100.0 / 1200.0));
  const size_t end      = point_at(&spectrum, hz * exp2(100.0 / 1200.0));
  for (size_t i = peak; i <= end; ++i) {
    peak = spectrum.power[i] > spectrum.power[peak] ? i : peak;
  }

  const double peak_hz = (double)peak * spectrum.hz_a_point;
  double       sum     = 0.0;
  double       moment  = 0.0;
  for (size_t i = point_at(&spectrum, peak_hz * exp2(-75.0 / 1200.0));
       i <= point_at(&spectrum, peak_hz * exp2(75.0 / 1200.0)); ++i) {
    sum += spectrum.power[i];
    moment += spectrum.power[i] * (double)i * spectrum.hz_a_point;
  }

  if (share) {
    *share = share_of(&spectrum, hz);
  }
  free(spectrum.power);
  return 1200.0 * log2(moment / sum / hz);
}
