// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_SEARCH_H
#define QUINTFALL_ANALYSIS_SEARCH_H

#include "path.h"

/// True if a search looks for changes of key at all: as it may, or because a pin may want one
bool
qf_search_changes_keys(const QfPassage* passage, const QfSearchGivens* givens);

/**
   Find the cheapest reading of a whole passage.

   A dynamic programme over spans (semi-Markov): the state at a boundary is the
   key and numeral of the span that ends there. Linear in the number of
   columns, as spans are bounded and a longer chord goes on at no cost.
*/
QfStatus
qf_search(const QfPassage* passage, const QfSearchGivens* givens, QfPath* result);

/**
   The same, and exactly the same, after some columns have changed.

   Costs are sums of whole grains (see qf_weight_grain()), so the search shifts
   by a constant where only what lies far before has changed: it begins a span's
   length before the first column that differs, and ends where a span's length
   of boundaries is as before, up to one constant.

   @param trellis What the search before found, or empty; what this one found.
   @param same Columns that both passages share.
*/
QfStatus
qf_search_again(const QfPassage*      passage,
                const QfSearchGivens* givens,
                QfSameColumns         same,
                QfTrellis*            trellis,
                QfPath*               result);

#endif // QUINTFALL_ANALYSIS_SEARCH_H
