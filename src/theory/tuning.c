// SPDX-License-Identifier: MIT
#include "quintfall/tuning.h"

#include <math.h>
#include <string.h>

enum {
  N_CLASSES = 12,
  A4_KEY    = 69,
  A_CLASS   = 9,
};

static const char* const names[QF_TUNING_N_KINDS] = {
  [QF_TUNING_EQUAL]    = "equal",
  [QF_TUNING_JUST]     = "just",
  [QF_TUNING_MEANTONE] = "meantone",
};

/// Frequencies stand to the tonic's as `high` to `low`
typedef struct {
  int high;
  int low;
} Ratio;

// Rule: the five-limit chromatic scale: fifths 3:2, thirds 5:4 and 6:5, and what
// they make together. Source: Helmholtz, On the Sensations of Tone, trans. Ellis
// (1885), chapters XIV and XVI, from memory; the fourth raised is the tritone
// 45:32 between fa and ti, the seventh lowered 9:5, a fifth over the minor third.
static const Ratio just_ratios[N_CLASSES] = {
  {1, 1},   {16, 15}, {9, 8}, {6, 5}, {5, 4}, {4, 3},
  {45, 32}, {3, 2},   {8, 5}, {5, 3}, {9, 5}, {15, 8},
};

// Fifths over the tonic (fewer than none: under it) by which a semitone count is
// reached. Twelve fifths in a row: in major from the lowered third to the raised
// fifth (E flat to G sharp in C); in minor the raised leading tone and the
// lowered second belong, so the same row lies three fifths lower. The wolf is
// between the ends. Common practice.
static const int major_fifths[N_CLASSES] = {0, 7, 2, -3, 4, -1, 6, 1, 8, 3, -2, 5};
static const int minor_fifths[N_CLASSES] = {0, -5, 2, -3, 4, -1, -6, 1, -4, 3, -2, 5};

double
qf_tuning_a4(const QfTuning tuning)
{
  return tuning.a4_hz > 0.0 ? fmin(fmax(tuning.a4_hz, QF_TUNING_LOWEST_A4), QF_TUNING_HIGHEST_A4)
                            : QF_TUNING_USUAL_A4;
}

/// Cents over the tonic, 0-1200, of what lies so many semitones over it
static double
cents_over_tonic(const QfTuningKind kind, const QfMode mode, const int semitones)
{
  switch (kind) {
    case QF_TUNING_JUST:
      return 1200.0 * log2((double)just_ratios[semitones].high / just_ratios[semitones].low);
    case QF_TUNING_MEANTONE: {
      // Four fifths make a pure third and two octaves: 5 to the fourth root.
      const double fifth  = 1200.0 * log2(5.0) / 4.0;
      const int    fifths = (mode == QF_MINOR ? minor_fifths : major_fifths)[semitones];
      const double cents  = fmod(fifth * fifths, 1200.0);
      return cents < 0.0 ? cents + 1200.0 : cents;
    }
    default:
      return 100.0 * semitones;
  }
}

double
qf_tuning_cents(const QfTuning tuning, const int midi_key)
{
  const int    tonic = qf_note_name_semitones(tuning.key.tonic);
  const int    over  = (midi_key - tonic + N_CLASSES) % N_CLASSES;
  const int    a     = (A_CLASS - tonic + N_CLASSES) % N_CLASSES;
  const QfMode mode  = tuning.key.mode;

  const double off   = cents_over_tonic(tuning.kind, mode, over) - 100.0 * over;
  const double a_off = cents_over_tonic(tuning.kind, mode, a) - 100.0 * a;
  return off - a_off;
}

double
qf_tuning_hz(const QfTuning tuning, const int midi_key)
{
  // Source: ISO 16 (1975), A4 = 440 Hz as the usual reference.
  const double cents = 100.0 * (midi_key - A4_KEY) + qf_tuning_cents(tuning, midi_key);
  return qf_tuning_a4(tuning) * exp2(cents / 1200.0);
}

const char*
qf_tuning_name(const QfTuningKind kind)
{
  return names[kind];
}

QfStatus
qf_tuning_parse(const char* const text, QfTuningKind* const result, QfError* const error)
{
  for (int i = 0; i < QF_TUNING_N_KINDS; ++i) {
    if (!strcmp(text, names[i])) {
      *result = (QfTuningKind)i;
      return QF_OK;
    }
  }
  return qf_error_set(error, QF_ERR_BAD_TEXT, "'%s' is no tuning; expected equal, just or meantone",
                      text);
}
