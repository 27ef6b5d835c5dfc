// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_SEARCH_H
#define QUINTFALL_ANALYSIS_SEARCH_H

#include "costs.h"

/// The cheapest reading of a passage
typedef struct {
  QfSpan* spans; ///< From the first column to the last; owned
  size_t  n_spans;
  float   cost;
} QfPath;

/**
   Find the cheapest reading of a whole passage.

   A dynamic programme over spans (semi-Markov): the state at a boundary is the
   key and numeral of the span that ends there. Linear in the number of
   columns, as spans are bounded and a longer chord goes on at no cost.
*/
QfStatus
qf_search(const QfPassage* passage, const QfSearchGivens* givens, QfPath* result);

void
qf_path_clear(QfPath* path);

#endif // QUINTFALL_ANALYSIS_SEARCH_H
