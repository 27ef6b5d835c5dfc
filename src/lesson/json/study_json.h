// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_STUDY_JSON_H
#define QUINTFALL_LESSON_STUDY_JSON_H

#include "json_read.h"

#include "quintfall/study.h"

/// Members the settings of a task have, ended by NULL
extern const char* const study_members[];

void
study_json_add(json_object* object, QfStudy study);

QfStatus
study_json_read(const Members* members, QfStudy* result);

#endif // QUINTFALL_LESSON_STUDY_JSON_H
