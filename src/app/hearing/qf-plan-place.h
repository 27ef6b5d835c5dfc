// SPDX-License-Identifier: MIT
#ifndef QF_PLAN_PLACE_H
#define QF_PLAN_PLACE_H

#include "quintfall/score.h"

#include <stdbool.h>
#include <stddef.h>

/**
   Read "3", the start of bar 3, or "3:2", its second beat.

   @return False if there is no such bar or beat.
*/
bool
qf_plan_place_parse(const QfScore* score, const char* text, QfTime* time);

/// Write what qf_plan_place_parse() reads; at least 48 bytes
void
qf_plan_place_write(const QfScore* score, QfTime time, char* buffer, size_t size);

#endif // QF_PLAN_PLACE_H
