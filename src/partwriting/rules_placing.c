// SPDX-License-Identifier: MIT
#include "rules.h"

enum { OCTAVE = 12, MIN_RANGED = 3, MAX_RANGED = 5 };

typedef struct {
  int16_t low;
  int16_t high;
} Range;

enum { SOPRANO, ALTO, TENOR, BASS, N_RANGES };

// Source: IBMT 6b, conservative ranges: C4-G5, G3-D5, C3-G4, E2-D4.
static const Range plain_ranges[N_RANGES] = {{60, 79}, {55, 74}, {48, 67}, {40, 62}};

// common practice: B3-A5, F3-E5, B2-A4, D2-E4.
static const Range wide_ranges[N_RANGES] = {{59, 81}, {53, 76}, {47, 69}, {38, 64}};

// common practice: three voices are soprano, alto and bass; a fifth one is a second soprano.
static const uint8_t voice_kinds[MAX_RANGED - MIN_RANGED + 1][MAX_RANGED] = {
  {SOPRANO, ALTO, BASS},
  {SOPRANO, ALTO, TENOR, BASS},
  {SOPRANO, SOPRANO, ALTO, TENOR, BASS}};

bool
voice_range(const size_t n_voices,
            const size_t voice,
            const bool   is_wide,
            int* const   low,
            int* const   high)
{
  if (n_voices < MIN_RANGED || n_voices > MAX_RANGED || voice >= n_voices) {
    return false;
  }
  const uint8_t kind  = voice_kinds[n_voices - MIN_RANGED][voice];
  const Range   range = is_wide ? wide_ranges[kind] : plain_ranges[kind];
  *low                = range.low;
  *high               = range.high;
  return true;
}

static Grade
range_rule(const Sounds* const sounds, const size_t voice)
{
  int low  = 0;
  int high = 0;
  return voice_range(sounds->n_voices, voice, false, &low, &high) &&
             (sounds->midi[voice] < low || sounds->midi[voice] > high)
           ? GRADE_RANGE
           : GRADE_NONE;
}

/// Upper voices only: the lowest pair is free
static Grade
spacing_rule(const Sounds* const sounds, const size_t upper, const size_t lower)
{
  const bool is_free = lower + 1U == sounds->n_voices;
  return !is_free && sounds->midi[upper] - sounds->midi[lower] > OCTAVE ? GRADE_SPACING
                                                                        : GRADE_NONE;
}

/// A brief crossing of alto and tenor is the mildest (IBMT 10b)
static Grade
crossing_rule(const Sounds* const sounds, const size_t upper, const size_t lower)
{
  const bool is_inner = upper > 0 && lower + 1U < sounds->n_voices;
  return sounds->midi[upper] >= sounds->midi[lower] ? GRADE_NONE
         : is_inner                                 ? GRADE_CROSSING
                                                    : GRADE_CROSSING_OTHER;
}

static Grade
unison_rule(const Sounds* const sounds, const size_t upper, const size_t lower)
{
  return sounds->midi[upper] == sounds->midi[lower] ? GRADE_UNISON : GRADE_NONE;
}

typedef Grade (*NeighbourRule)(const Sounds* sounds, size_t upper, size_t lower);

static const NeighbourRule neighbour_rules[] = {spacing_rule, crossing_rule, unison_rule};

void
judge_placing(const Sounds* const sounds, Sink* const sink)
{
  for (size_t v = 0; v < sounds->n_voices; ++v) {
    if (sounds_has(sounds, v) && range_rule(sounds, v)) {
      sink->take(sink, (Remark){GRADE_RANGE, 1U << v});
    }
  }
  // More parts than five are instruments, in no order of height.
  for (size_t v = 0; sounds->n_voices <= MAX_RANGED && v + 1U < sounds->n_voices; ++v) {
    if (!sounds_has(sounds, v) || !sounds_has(sounds, v + 1U)) {
      continue;
    }
    for (size_t i = 0; i < sizeof(neighbour_rules) / sizeof(neighbour_rules[0]); ++i) {
      const Grade grade = neighbour_rules[i](sounds, v, v + 1U);
      if (grade) {
        sink->take(sink, (Remark){grade, 3U << v});
      }
    }
  }
}
