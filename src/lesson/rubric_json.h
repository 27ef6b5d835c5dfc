// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_RUBRIC_JSON_H
#define QUINTFALL_LESSON_RUBRIC_JSON_H

#include "json_read.h"

#include "quintfall/rubric.h"

/// Members a rubric has, ended by NULL
extern const char* const rubric_members[];

/// Add a rubric's members to an object
void
rubric_json_add(json_object* object, const QfRubric* rubric);

/// Read a rubric from its object; what is left out is as in the default
QfStatus
rubric_json_read(const Members* members, QfRubric* result);

#endif // QUINTFALL_LESSON_RUBRIC_JSON_H
