// SPDX-License-Identifier: MIT
#include "quintfall/pitch_in.h"

#include <math.h>
#include <stdlib.h>

// Softer than this is the room, not a voice; common practice.
static const double softest_db = -55.0;

// Surer than this that what sounds has a pitch: found by trying noise and tones.
static const double least_confidence = 0.6;

// What makes the nearest note another one: half a semitone.
static const double half_semitone = 50.0;

static const double usual_tolerance_cents = 20.0;

// So much of a note must have been sung.
static const double least_share = 1.0 / 3.0;

static const char* const texts[] = {
  [QF_SUNG_NOTHING] = "nothing heard", [QF_SUNG_IN_TUNE] = "in tune",
  [QF_SUNG_SHARP] = "sharp",           [QF_SUNG_FLAT] = "flat",
  [QF_SUNG_WRONG] = "another note",
};

const char*
qf_sung_kind_text(const QfSungKind kind)
{
  return texts[kind];
}

static bool
has_pitch(const QfPitchFrame* const frame)
{
  return frame->hz > 0.0 && isfinite(frame->hz) && frame->confidence >= least_confidence &&
         frame->level_db >= softest_db;
}

static double
cents_between(const double low_hz, const double high_hz)
{
  return 1200.0 * log2(high_hz / low_hz);
}

static int
nearest_key(const QfTuning tuning, const double hz)
{
  int    nearest = 0;
  double least   = HUGE_VAL;
  for (int key = 0; key < 128; ++key) {
    const double distance = fabs(cents_between(qf_tuning_hz(tuning, key), hz));
    if (distance < least) {
      least   = distance;
      nearest = key;
    }
  }
  return nearest;
}

static QfSungKind
kind_of(const double cents, const double tolerance)
{
  if (fabs(cents) <= tolerance) {
    return QF_SUNG_IN_TUNE;
  }
  if (fabs(cents) > half_semitone) {
    return QF_SUNG_WRONG;
  }
  return cents > 0.0 ? QF_SUNG_SHARP : QF_SUNG_FLAT;
}

static QfSung
judge_hz(const double hz, const int expected_key, const QfSungOptions options)
{
  double cents = cents_between(qf_tuning_hz(options.tuning, expected_key), hz);
  if (options.any_octave) {
    cents -= 1200.0 * round(cents / 1200.0);
  }

  const double wanted    = options.tolerance_cents;
  const double tolerance = wanted > 0.0 ? fmin(wanted, half_semitone) : usual_tolerance_cents;
  return (QfSung){kind_of(cents, tolerance), cents, nearest_key(options.tuning, hz)};
}

QfSung
qf_sung_judge(const QfPitchFrame frame, const int expected_key, const QfSungOptions options)
{
  return has_pitch(&frame) ? judge_hz(frame.hz, expected_key, options)
                           : (QfSung){QF_SUNG_NOTHING, 0.0, -1};
}

static int
compare(const void* const a, const void* const b)
{
  const double x = *(const double*)a;
  const double y = *(const double*)b;
  return (x > y) - (x < y);
}

QfSung
qf_sung_judge_note(const QfPitchFrame* const frames,
                   const size_t              n_frames,
                   const int                 expected_key,
                   const QfSungOptions       options)
{
  const QfSung  nothing = {QF_SUNG_NOTHING, 0.0, -1};
  double* const pitches = n_frames ? (double*)calloc(n_frames, sizeof(double)) : NULL;
  size_t        n       = 0;
  for (size_t i = 0; pitches && i < n_frames; ++i) {
    if (has_pitch(&frames[i])) {
      pitches[n++] = frames[i].hz;
    }
  }
  if (!pitches || n == 0 || (double)n < least_share * (double)n_frames) {
    free(pitches);
    return nothing;
  }

  qsort(pitches, n, sizeof(double), compare);
  const double median = pitches[n / 2U];
  free(pitches);
  return judge_hz(median, expected_key, options);
}
