// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_EXERCISE_GRAMMAR_H
#define QUINTFALL_SRC_EXERCISE_GRAMMAR_H

#include "near_keys.h"
#include "rhythm.h"
#include "words.h"

/**
   A weighted grammar of functions over some places.

   Chains are drawn exactly in proportion to the product of their steps' weights
   among all chains that fill the places, close with a cadence and use what is
   required. Reverse sums are kept as whole numbers, scaled place by place, so
   that every machine draws the same.
*/
typedef struct GrammarImpl Grammar;

/// (transfer full) NULL if out of memory
Grammar*
grammar_new(const QfExerciseOptions* options);

void
grammar_free(Grammar* grammar);

/**
   Draw a chain.

   @param required One #QfUse bit that must appear, or 0.
   @return False if no chain fits.
*/
bool
grammar_draw(Grammar*    grammar,
             KeyPlan     keys,
             const Slot* slots,
             size_t      n_slots,
             unsigned    required,
             QfRandom*   random,
             QfLink*     links,
             unsigned*   uses);

#endif // QUINTFALL_SRC_EXERCISE_GRAMMAR_H
