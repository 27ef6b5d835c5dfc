// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_OPTIMUM_H
#define QUINTFALL_PARTWRITING_OPTIMUM_H

#include "stages.h"

enum {
  MAX_APART      = 15, ///< Differences that are counted
  MAX_APART_WAYS = 16, ///< Ways that can differ from one another
};

/// A way through all stages
typedef struct {
  int     cost;
  size_t* voicings; ///< Index in the list of each stage; owned
} Way;

typedef struct {
  Way*   ways; ///< Best first; owned
  size_t n_ways;
} Ways;

/**
   Find the n best ways, the rules that look two chords back included.

   Best first, guided by what stages_look_ahead() found: that leaves out only the
   rules that look back, which never take off, so the first way to arrive is the best.
   With a lexicon each way is the best of those that differ from the ways before it
   by the classes of at least `n_apart` chords; there may be fewer than asked for.

   @param n_apart 1 to #MAX_APART; not looked at without a lexicon.
*/
QfStatus
optimum_find(Stages* stages, size_t n_best, size_t n_apart, Ways* result);

/// The whole cost of a way, #COST_NEVER or more if it makes an error
int
optimum_cost(Stages* stages, const size_t* voicings);

void
ways_clear(Ways* ways);

#endif // QUINTFALL_PARTWRITING_OPTIMUM_H
