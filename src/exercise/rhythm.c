// SPDX-License-Identifier: MIT
#include "rhythm.h"

enum {
  MIN_BARS_FOR_TWO_PHRASES = 7,
};

/// Beats of a bar in the order in which chords take them: downbeat, half-bar, then from the end
static size_t
strong_beats(const QfMetre metre, int order[QF_METRE_MAX_GROUPS])
{
  const int n    = metre.n_groups;
  const int half = (n + 1) / 2;
  size_t    used = 0;

  order[used++] = 0;
  if (n > 1) {
    order[used++] = half < n ? half : n - 1;
  }
  for (int beat = n - 1; beat > 0; --beat) {
    if (beat != order[1]) {
      order[used++] = beat;
    }
  }
  return used;
}

/// One of several bits as its number; there is one at least
static unsigned
draw_kind(const unsigned bits, const unsigned n_kinds, QfRandom* const random)
{
  uint64_t weights[32] = {0};
  for (unsigned i = 0; i < n_kinds; ++i) {
    weights[i] = bits >> i & 1U;
  }
  return (unsigned)random_weighted(random, weights, n_kinds);
}

Shape
shape_draw(const QfExerciseOptions* const options, QfRandom* const random)
{
  const bool is_either = options->modulation == QF_MODULATION_EITHER;
  Shape      shape     = {.n_chords = options->n_chords, .n_bars = options->n_bars};
  shape.metre          = options->metres[random_below(random, options->n_metres)];
  shape.rhythm         = (QfHarmonicRhythm)draw_kind(options->rhythms, QF_RHYTHM_N_KINDS, random);
  shape.modulation     = !is_either                ? options->modulation
                         : random_below(random, 2) ? QF_MODULATION_RETURN
                                                   : QF_MODULATION_LEAVE;
  return shape;
}

size_t
rhythm_capacity(const QfMetre metre, const size_t n_bars)
{
  return n_bars ? 1U + (n_bars - 1U) * metre.n_groups : 0;
}

/// Chords in a bar
static size_t
draw_density(const Shape* const shape, QfRandom* const random)
{
  // common practice: the half-bar is the usual pace of a chorale-like passage.
  static const uint64_t mixed[] = {2, 4, 2, 1};
  const size_t          most    = shape->metre.n_groups;
  size_t                n       = 1;

  switch (shape->rhythm) {
    case QF_RHYTHM_HALF:
      n = 2;
      break;
    case QF_RHYTHM_BEATS:
      n = most;
      break;
    case QF_RHYTHM_MIXED:
      n = 1U + random_weighted(random, mixed, most < 4U ? most : 4U);
      break;
    default:
      break;
  }
  return n < most ? n : most;
}

/// Densities for a given number of bars, made to fit the number of chords if there is one
static size_t
fit_bars(const Shape* const shape, QfRandom* const random, size_t* const densities)
{
  const size_t n_bars = shape->n_bars;
  size_t       sum    = 1;
  for (size_t i = 0; i + 1U < n_bars; ++i) {
    densities[i] = draw_density(shape, random);
    sum += densities[i];
  }
  densities[n_bars - 1U] = 1;

  while (shape->n_chords && sum != shape->n_chords) {
    const size_t bar = random_below(random, n_bars - 1U);
    if (sum < shape->n_chords && densities[bar] < shape->metre.n_groups) {
      ++densities[bar];
      ++sum;
    } else if (sum > shape->n_chords && densities[bar] > 1U) {
      --densities[bar];
      --sum;
    }
  }
  return n_bars;
}

/// As many bars as the chords need
static size_t
fill_bars(const Shape* const shape, QfRandom* const random, size_t* const densities)
{
  size_t n_bars = 0;
  size_t left   = shape->n_chords - 1U;
  while (left) {
    const size_t drawn = draw_density(shape, random);
    densities[n_bars]  = drawn < left ? drawn : left;
    left -= densities[n_bars++];
  }
  densities[n_bars++] = 1;
  return n_bars;
}

/// Put the chords of one bar
static size_t
fill_bar(const QfMetre metre, const size_t bar, const size_t density, Slot* const slots)
{
  const QfTime length = qf_metre_bar(metre);
  const QfTime start  = qf_time_mul(length, qf_time((int64_t)bar, 1));
  int          order[QF_METRE_MAX_GROUPS];
  strong_beats(metre, order);

  size_t n = 0;
  for (int beat = 0; beat < metre.n_groups; ++beat) {
    for (size_t i = 0; i < density; ++i) {
      if (order[i] == beat) {
        const QfTime position = qf_metre_beat_start(metre, beat);
        slots[n].start        = qf_time_add(start, position);
        slots[n].level        = qf_metre_level(metre, position);
        slots[n].is_cadence   = false;
        ++n;
      }
    }
  }
  for (size_t i = 0; i < n; ++i) {
    const QfTime end  = i + 1U < n ? slots[i + 1U].start : qf_time_add(start, length);
    slots[i].duration = qf_time_sub(end, slots[i].start);
  }
  return n;
}

size_t
rhythm_draw(const Shape* const shape, QfRandom* const random, Slot* const slots)
{
  size_t       densities[QF_EXERCISE_MAX_CHORDS + 1];
  const size_t n_bars =
    shape->n_bars ? fit_bars(shape, random, densities) : fill_bars(shape, random, densities);

  // The first of two phrases rests on a chord of its own.
  const bool has_two_phrases =
    n_bars >= MIN_BARS_FOR_TWO_PHRASES && shape->modulation == QF_MODULATION_STAY;
  const size_t middle = (n_bars + 1U) / 2U - 1U;
  if (has_two_phrases && !shape->n_chords) {
    densities[middle] = 1;
  }

  size_t n = 0;
  for (size_t bar = 0; bar < n_bars; ++bar) {
    n += fill_bar(shape->metre, bar, densities[bar], &slots[n]);
    slots[n - 1U].is_cadence =
      bar + 1U == n_bars || (has_two_phrases && bar == middle && densities[bar] == 1U);
  }
  return n;
}
