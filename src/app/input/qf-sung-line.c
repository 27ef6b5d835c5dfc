// SPDX-License-Identifier: MIT
#include "qf-sung-line.h"

#include <math.h>
#include <string.h>

// Wider than a singer's vibrato to either side, narrower than a semitone step.
static const double same_note_semitones = 0.6;

static bool
is_same_pitch(const double a_hz, const double b_hz)
{
  return a_hz > 0.0 && b_hz > 0.0 && fabs(12.0 * log2(a_hz / b_hz)) <= same_note_semitones;
}

/// Middle of the held pitches, by geometric mean, which vibrato leaves alone
static double
mean_hz(const QfSungLine* const line)
{
  double sum = 0.0;
  for (size_t i = 0; i < line->n_held; ++i) {
    sum += log2(line->held[i].hz);
  }
  return exp2(sum / (double)line->n_held);
}

static bool
is_held(const QfSungLine* const line)
{
  if (line->n_held < QF_SUNG_HELD_FRAMES) {
    return false;
  }

  const double middle = mean_hz(line);
  for (size_t i = 0; i < line->n_held; ++i) {
    if (!is_same_pitch(line->held[i].hz, middle)) {
      return false;
    }
  }
  return true;
}

static void
keep(QfSungLine* const line, const QfPitchFrame frame)
{
  if (line->n_held == QF_SUNG_HELD_FRAMES) {
    memmove(line->held, line->held + 1, (QF_SUNG_HELD_FRAMES - 1) * sizeof(*line->held));
    --line->n_held;
  }
  line->held[line->n_held++] = frame;
}

bool
qf_sung_line_take(QfSungLine* const   line,
                  const QfPitchFrame  frame,
                  const int           expected_key,
                  const QfSungOptions options,
                  QfSung* const       sung)
{
  if (qf_sung_judge(frame, expected_key, options).kind == QF_SUNG_NOTHING) {
    if (++line->n_silent >= QF_SUNG_BREATH_FRAMES) {
      line->n_held     = 0;
      line->settled_hz = 0.0;
    }
    return false;
  }

  line->n_silent = 0;
  if (is_same_pitch(frame.hz, line->settled_hz)) {
    return false;
  }
  keep(line, frame);
  if (!is_held(line)) {
    return false;
  }
  *sung            = qf_sung_judge_note(line->held, line->n_held, expected_key, options);
  line->settled_hz = mean_hz(line);
  line->n_held     = 0;
  return true;
}
