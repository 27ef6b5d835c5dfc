// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ENGRAVE_SPACING_H
#define QUINTFALL_ENGRAVE_SPACING_H

#include "engraving.h"

#define SPACING_TIGHTEST 0.72 ///< Least factor of the natural widths in a justified system

/// Distance from a column to the next (or the bar line) at a factor of its natural width
double
spacing_gap(const Column* column, double stretch);

double
engrave_rest_width(const Engraving* e, const QfSymbol* symbol);

#endif // QUINTFALL_ENGRAVE_SPACING_H
