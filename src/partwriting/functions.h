// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_FUNCTIONS_H
#define QUINTFALL_PARTWRITING_FUNCTIONS_H

#include "quintfall/harmonise.h"

/// What a chord does in a phrase
typedef enum {
  PART_TONIC,
  PART_PREDOMINANT,
  PART_DOMINANT,
  PART_CADENTIAL,
  PART_LEADING, ///< To its goal: applied chords, augmented sixths
  PART_N_KINDS
} Part;

/// A chord of the vocabulary
typedef struct {
  const char*  numeral;
  QfVocabulary level;
  Part         part;
  int          cost; ///< Of the chord itself: the rarer, the more
  const char*  goal; ///< Numeral it leads to, any inversion of which will do; or NULL
} Word;

/// Chords of a mode, in a fixed order
const Word*
function_words(QfMode mode, size_t* n_words);

/// Cost of the first chord
int
function_start_cost(const Word* first);

/// Cost of one chord after another; `is_weaker` if the second one has the weaker beat
int
function_step_cost(const Word* from, const Word* to, bool is_weaker);

/// Cost of the cadence two chords make, at the end of all or of a phrase
int
function_cadence_cost(const Word* from, const Word* to, bool is_last);

#endif // QUINTFALL_PARTWRITING_FUNCTIONS_H
