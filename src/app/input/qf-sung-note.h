// SPDX-License-Identifier: MIT
#ifndef QF_SUNG_NOTE_H
#define QF_SUNG_NOTE_H

#include "qf-sung-line.h"

/// A held note where none is expected, by the key it is nearest to
typedef struct {
  int    key;      ///< MIDI
  double cents;    ///< Over the key, or under it
  bool   is_clear; ///< Within the tolerance; otherwise it lies between two notes
} QfSungNote;

/// The note of a frequency above 0
QfSungNote
qf_sung_note_of(double hz, QfSungOptions options);

/// Take a frame; tell whether a note has settled with it, as qf_sung_line_take() does
bool
qf_sung_note_take(QfSungLine* line, QfPitchFrame frame, QfSungOptions options, QfSungNote* note);

#endif // QF_SUNG_NOTE_H
