// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_PLAN_JSON_H
#define QUINTFALL_LESSON_PLAN_JSON_H

#include "json_read.h"

#include "quintfall/plan.h"

#define PLAN_FORMAT "quintfall-plan"

enum {
  PLAN_VERSION         = 1,
  PLAN_N_FORWARD_WORDS = 3,
  PLAN_N_UNITS         = 2,
};

/// Words of the file by the value they stand for; an unknown step has none
extern const char* const plan_step_words[QF_STEP_N_KINDS];
extern const char* const plan_prelude_words[QF_PRELUDE_N_KINDS];
extern const char* const plan_forward_words[PLAN_N_FORWARD_WORDS];
extern const char* const plan_unit_words[PLAN_N_UNITS];

/// Add a plan's members to an object
void
plan_json_add(json_object* object, const QfPlan* plan);

/// Read a plan from its object (transfer full)
QfStatus
plan_json_read(const Members* members, QfPlan** result);

#endif // QUINTFALL_LESSON_PLAN_JSON_H
