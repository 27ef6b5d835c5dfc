// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_OPTIMUM_H
#define QUINTFALL_PARTWRITING_OPTIMUM_H

#include "stages.h"

/// A way through all stages
typedef struct {
  int      cost;
  uint32_t lineage;  ///< Its own, where there is a lexicon; otherwise 0
  size_t*  voicings; ///< Index in the list of each stage; owned
} Way;

typedef struct {
  Way*   ways; ///< Best first; owned
  size_t n_ways;
} Ways;

/**
   Find the n best ways, the rules that look two chords back included.

   Best first, guided by what stages_look_ahead() found: that leaves out only the
   rules that look back, which never take off, so the first way to arrive is the best.
   With a lexicon the ways differ in the class of a chord, and each is the best of
   its classes.
*/
QfStatus
optimum_find(Stages* stages, size_t n_best, Ways* result);

/// The whole cost of a way, #COST_NEVER or more if it makes an error
int
optimum_cost(Stages* stages, const size_t* voicings);

void
ways_clear(Ways* ways);

#endif // QUINTFALL_PARTWRITING_OPTIMUM_H
