// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_INTERVAL_H
#define QUINTFALL_INTERVAL_H

#include "quintfall/pitch.h"

/// A distance between two spelled pitches; negative goes down
typedef struct {
  int16_t steps;     ///< Staff steps: third = 2, tenth = 9
  int16_t semitones; ///< Sounding distance
} QfInterval;

/// Read "m3", "P5", "A4", "d7", "AA4", "M10", "-m2"; upper-case M major, lower-case m minor
QfStatus
qf_interval_parse(const char* text, QfInterval* result, QfError* error);

/// Write as qf_interval_parse() reads; at least 16 bytes
void
qf_interval_write(QfInterval interval, char* buffer, size_t size);

/// Write in words, "minor third", "augmented fourth", "falling perfect fifth"; at least 64 bytes
void
qf_interval_describe(QfInterval interval, char* buffer, size_t size);

QfInterval
qf_interval_between(QfPitch from, QfPitch to);

/// The ascending interval within an octave from one pitch class up to another
QfInterval
qf_interval_between_names(QfNoteName from, QfNoteName to);

/// Complement to the octave (of the simple form)
QfInterval
qf_interval_invert(QfInterval interval);

/// The same interval within an octave (octave itself stays)
QfInterval
qf_interval_simple(QfInterval interval);

/**
   Spell the pitch that lies an interval from another.

   The letter moves first, the accidental makes up the sounding distance.
   @return #QF_OK, or #QF_ERR_RANGE if more than four accidentals are needed.
*/
QfStatus
qf_pitch_transpose(QfPitch from, QfInterval interval, QfPitch* result);

QfStatus
qf_note_name_transpose(QfNoteName from, QfInterval interval, QfNoteName* result);

#endif // QUINTFALL_INTERVAL_H
