// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_CLASH_H
#define QUINTFALL_PARTWRITING_CLASH_H

#include "stages.h"

#include "quintfall/writing.h"

/**
   Find the smallest set of givens that cannot hold together.

   Looks into the shortest stretches that are impossible alone. There givens go one
   by one as long as it stays impossible; what is left clashes. Then all smaller
   sets of the stretch are tried, as far as #CLASH_MAX_TRIALS trials go.
*/
QfStatus
clash_find(const Task* task, Policy policy, QfClash* result);

enum {
  CLASH_MAX_TRIALS = 2000,
};

#endif // QUINTFALL_PARTWRITING_CLASH_H
