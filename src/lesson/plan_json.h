// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_PLAN_JSON_H
#define QUINTFALL_LESSON_PLAN_JSON_H

#include "json_read.h"

#include "quintfall/plan.h"

/// Add a plan's members to an object
void
plan_json_add(json_object* object, const QfPlan* plan);

/// Read a plan from its object (transfer full)
QfStatus
plan_json_read(const Members* members, QfPlan** result);

#endif // QUINTFALL_LESSON_PLAN_JSON_H
