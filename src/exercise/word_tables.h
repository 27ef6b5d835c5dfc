// SPDX-License-Identifier: MIT
// The vocabulary of exercises as tables.
#ifndef QUINTFALL_SRC_EXERCISE_WORD_TABLES_H
#define QUINTFALL_SRC_EXERCISE_WORD_TABLES_H

#include "words.h"

enum { N_TARGETS = 5 }; ///< Of either mode

/// A line of the vocabulary
typedef struct {
  const char* numeral;
  WordPart    part;
  unsigned    uses;
  unsigned    weight;
  int         degree;
  const char* from;
  const char* goal;
  bool        is_last;
} WordLine;

/// A degree that can be tonicized: a major or minor triad of the key
typedef struct {
  const char* numeral;
  int         degree;
  unsigned    weight;
  bool        is_minor;
  bool        has_plain_triad; ///< Its own V is no chord of the key already
} WordTarget;

/// A chord that can be applied
typedef struct {
  const char* numeral;
  unsigned    uses;
  unsigned    weight;
  bool        is_triad;
  bool        is_for_major; ///< Half-diminished: major targets only
} AppliedLine;

/// The chords of a mode, but for applied ones
const WordLine*
word_lines(QfMode mode, size_t* n_lines);

/// The #N_TARGETS degrees of a mode that can be tonicized
const WordTarget*
word_targets(QfMode mode);

/// The chords that can be applied to them
const AppliedLine*
applied_lines(size_t* n_lines);

#endif // QUINTFALL_SRC_EXERCISE_WORD_TABLES_H
