// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PITCH_H
#define QUINTFALL_PITCH_H

#include "quintfall/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
  QF_MAX_ALTER = 4, ///< Most sharps or flats a note name can carry
};

/// A spelled pitch class: C sharp and D flat differ
typedef struct {
  int8_t letter; ///< Staff letter, 0 = C ... 6 = B
  int8_t alter;  ///< Accidental in semitones, -4 ... +4
} QfNoteName;

/// A spelled pitch
typedef struct {
  int8_t letter; ///< Staff letter, 0 = C ... 6 = B
  int8_t alter;  ///< Accidental in semitones, -4 ... +4
  int8_t octave; ///< Scientific octave, follows the letter; middle C is C4
} QfPitch;

/**
   Read a note name such as "C", "F#", "Bb", "Cx" is not accepted.

   Letter A-G in either case, then up to four `#` or up to four `b` (also the
   Unicode signs U+266F, U+266D, U+266E, U+1D12A, U+1D12B).

   @param[out] end If not NULL, set to the first unread byte; if NULL the whole
   text must be used.
   @return #QF_OK, #QF_ERR_BAD_TEXT, or #QF_ERR_RANGE for more than four
   accidentals, which the message says.
*/
QfStatus
qf_note_name_parse(const char* text, QfNoteName* result, const char** end, QfError* error);

/// Read a pitch such as "F#4", "Bb2", "C-1"; errors as qf_note_name_parse()
QfStatus
qf_pitch_parse(const char* text, QfPitch* result, QfError* error);

/// Write "F#", "Bbb" (ASCII); at least 8 bytes
void
qf_note_name_write(QfNoteName name, char* buffer, size_t size);

/// Write "F#4" (ASCII); at least 12 bytes
void
qf_pitch_write(QfPitch pitch, char* buffer, size_t size);

/// Pitch class in semitones above C, 0-11
int
qf_note_name_semitones(QfNoteName name);

/// Position on the line of fifths: F = -1, C = 0, G = 1, F# = 6, Bb = -2
int
qf_note_name_fifths(QfNoteName name);

/// Inverse of qf_note_name_fifths(); #QF_ERR_RANGE beyond four accidentals
QfStatus
qf_note_name_from_fifths(int fifths, QfNoteName* result);

/// MIDI key number, unbounded: C4 = 60, B#3 = 60, Cb4 = 59
int
qf_pitch_midi(QfPitch pitch);

/// Frequency in hertz, twelve-tone equal temperament, A4 = 440 (ISO 16)
double
qf_midi_frequency(double midi);

/// Diatonic staff step, C0 = 0, C4 = 28, B4 = 34
int
qf_pitch_step(QfPitch pitch);

/// The pitch on a staff step with an accidental
QfPitch
qf_pitch_from_step(int step, int alter);

QfNoteName
qf_pitch_name(QfPitch pitch);

bool
qf_note_name_equals(QfNoteName a, QfNoteName b);

bool
qf_pitch_equals(QfPitch a, QfPitch b);

/// By sound, then by step: negative, zero or positive
int
qf_pitch_compare(QfPitch a, QfPitch b);

#endif // QUINTFALL_PITCH_H
