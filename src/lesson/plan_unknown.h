// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_PLAN_UNKNOWN_H
#define QUINTFALL_LESSON_PLAN_UNKNOWN_H

#include "quintfall/plan.h"

/*
   What a newer version wrote into a plan and its steps goes with them, as JSON
   text: `step` is SIZE_MAX for the plan itself.
*/

/// An object, or NULL (lent until the next change)
const char*
plan_get_unknown(const QfPlan* plan, size_t step);

/// Copies the text, which may be NULL; #QF_ERR_NO_MEM
QfStatus
plan_set_unknown(QfPlan* plan, size_t step, const char* json);

#endif // QUINTFALL_LESSON_PLAN_UNKNOWN_H
