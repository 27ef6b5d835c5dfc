// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SPELLING_H
#define QUINTFALL_SPELLING_H

#include "quintfall/score.h"

/// A written note or rest: one symbol on paper
typedef struct {
  QfTime   start;
  QfTime   duration;
  uint32_t note;    ///< Identity of the sounding note, or #QF_NO_NOTE for a rest
  QfPitch  pitch;   ///< Of the note
  int8_t   value;   ///< Note value as log2 of its fraction: 0 whole, 1 half, 2 quarter, -1 breve
  uint8_t  dots;    ///< 0-2
  uint8_t  tuplet;  ///< 0, or the odd number of notes in the time of the next lower power of two
  bool     is_tied; ///< Tied to the next symbol of the voice
  bool     is_whole_bar; ///< A rest that fills its bar
} QfSymbol;

typedef struct {
  QfSymbol* symbols;
  size_t    n_symbols;
} QfSymbols;

/**
   Write one voice down: notes split at bar lines and where no single value
   fits, rests filled in, every split on a beat where there is one.

   A length that no value shows (finer than a 1024th, tuplets above 255) gets the
   nearest value; its duration stays exact.

   Rule: common practice. A value starting on a weak beat does not hide a stronger
   one unless it is all of a note and either undotted and evenly around it (eighth,
   quarter, eighth) or dotted and ends on a stronger one still (quarter, dotted half).
*/
QfStatus
qf_symbols_of(const QfScore* score, size_t voice, QfSymbols* result);

void
qf_symbols_clear(QfSymbols* symbols);

/// What stands before a note on paper
typedef enum {
  QF_ACCIDENTAL_NONE,
  QF_ACCIDENTAL_NEEDED,   ///< Differs from what is in force
  QF_ACCIDENTAL_COURTESY, ///< Reminds, in the bar after or in another voice
} QfAccidentalKind;

typedef struct {
  uint32_t         note;
  size_t           staff;
  QfAccidentalKind kind; ///< Never #QF_ACCIDENTAL_NONE in a list
  int8_t           alter;
} QfAccidental;

typedef struct {
  QfAccidental* accidentals;
  size_t        n_accidentals;
} QfAccidentals;

/**
   Find where accidentals stand.

   An accidental holds for its staff, letter and octave until the bar line, also
   through a tie. A courtesy sign stands when a note chromatically altered in
   the bar before returns to its plain form, and, if `across_voices`, when
   another voice or octave did so in the same bar or the one before.

   Rule: common practice.
*/
QfStatus
qf_accidentals_of(const QfScore* score, bool across_voices, QfAccidentals* result);

void
qf_accidentals_clear(QfAccidentals* accidentals);

#endif // QUINTFALL_SPELLING_H
