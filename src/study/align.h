// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_STUDY_ALIGN_H
#define QUINTFALL_STUDY_ALIGN_H

#include "quintfall/status.h"

#define ALIGN_NONE ((size_t)-1)

/// An item of each sequence, or #ALIGN_NONE on one side
typedef struct {
  size_t a;
  size_t b;
} AlignPair;

typedef struct {
  AlignPair* pairs; ///< In order of both sequences; owned
  size_t     n_pairs;
  double     cost;
} Alignment;

/// Cost of taking item `b` of the second sequence for item `a` of the first
typedef double (*AlignCost)(size_t a, size_t b, const void* data);

typedef struct {
  AlignCost   replace;
  const void* data;
  double      missing; ///< Of an item of the first sequence without counterpart
  double      extra;   ///< Of an item of the second
} AlignCosts;

/**
   Align two sequences at the least total cost.

   Among equal costs, pairs are kept rather than broken up, and what is missing
   or extra stands as early as it can. Sequences whose product is beyond 16
   million are aligned in runs of the first, each with its share of the second.

   Source: Needleman and Wunsch 1970; Wagner and Fischer 1974 (dynamic programming).
*/
QfStatus
align(size_t n_a, size_t n_b, AlignCosts costs, Alignment* result);

void
alignment_clear(Alignment* alignment);

#endif // QUINTFALL_STUDY_ALIGN_H
