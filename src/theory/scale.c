// SPDX-License-Identifier: MIT
#include "quintfall/key.h"

typedef struct {
  const char* name;
  int8_t      semitones[7]; ///< Of each degree above the tonic
} ScaleShape;

// Source: Open Music Theory, "Scales" and "Modes"; the table is common practice.
static const ScaleShape shapes[QF_SCALE_N_KINDS] = {
  [QF_SCALE_MAJOR]              = {"major", {0, 2, 4, 5, 7, 9, 11}},
  [QF_SCALE_NATURAL_MINOR]      = {"natural minor", {0, 2, 3, 5, 7, 8, 10}},
  [QF_SCALE_HARMONIC_MINOR]     = {"harmonic minor", {0, 2, 3, 5, 7, 8, 11}},
  [QF_SCALE_MELODIC_MINOR_UP]   = {"melodic minor ascending", {0, 2, 3, 5, 7, 9, 11}},
  [QF_SCALE_MELODIC_MINOR_DOWN] = {"melodic minor descending", {0, 2, 3, 5, 7, 8, 10}},
  [QF_SCALE_IONIAN]             = {"ionian", {0, 2, 4, 5, 7, 9, 11}},
  [QF_SCALE_DORIAN]             = {"dorian", {0, 2, 3, 5, 7, 9, 10}},
  [QF_SCALE_PHRYGIAN]           = {"phrygian", {0, 1, 3, 5, 7, 8, 10}},
  [QF_SCALE_LYDIAN]             = {"lydian", {0, 2, 4, 6, 7, 9, 11}},
  [QF_SCALE_MIXOLYDIAN]         = {"mixolydian", {0, 2, 4, 5, 7, 9, 10}},
  [QF_SCALE_AEOLIAN]            = {"aeolian", {0, 2, 3, 5, 7, 8, 10}},
  [QF_SCALE_LOCRIAN]            = {"locrian", {0, 1, 3, 5, 6, 8, 10}},
};

QfStatus
qf_scale_notes(const QfNoteName tonic, const QfScaleKind kind, QfNoteName result[7])
{
  QfNoteName notes[7];
  for (int i = 0; i < 7; ++i) {
    const QfInterval up = {(int16_t)i, shapes[kind].semitones[i]};
    const QfStatus   st = qf_note_name_transpose(tonic, up, &notes[i]);
    if (st) {
      return st;
    }
  }

  for (int i = 0; i < 7; ++i) {
    result[i] = notes[i];
  }
  return QF_OK;
}

const char*
qf_scale_name(const QfScaleKind kind)
{
  return shapes[kind].name;
}
