// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TUNING_H
#define QUINTFALL_TUNING_H

#include "quintfall/key.h"

/// How the octave is divided
typedef enum {
  QF_TUNING_EQUAL,    ///< Twelve equal semitones
  QF_TUNING_JUST,     ///< Pure fifths and thirds over the key's tonic
  QF_TUNING_MEANTONE, ///< Fifths narrowed by a quarter comma, so that thirds are pure
  QF_TUNING_N_KINDS
} QfTuningKind;

/// What frequency each key of the keyboard has; all zero is equal temperament at 440 Hz
typedef struct {
  QfTuningKind kind;
  QfKey        key;   ///< Whose chords are to be pure; equal temperament has no use for it
  double       a4_hz; ///< 392-466; 0 for the usual 440 (ISO 16)
} QfTuning;

#define QF_TUNING_LOWEST_A4 392.0
#define QF_TUNING_USUAL_A4 440.0
#define QF_TUNING_HIGHEST_A4 466.0

/// The reference in hertz: 440 where none is set, and never outside the range
double
qf_tuning_a4(QfTuning tuning);

/**
   Cents by which a MIDI key differs from equal temperament at the same A4.

   A4 itself never differs: it has the reference's frequency in every tuning.
*/
double
qf_tuning_cents(QfTuning tuning, int midi_key);

/// Frequency of a MIDI key, 0-127
double
qf_tuning_hz(QfTuning tuning, int midi_key);

/// "equal", "just" or "meantone"
const char*
qf_tuning_name(QfTuningKind kind);

/// Read such a name; #QF_ERR_BAD_TEXT says what was expected
QfStatus
qf_tuning_parse(const char* text, QfTuningKind* result, QfError* error);

#endif // QUINTFALL_TUNING_H
