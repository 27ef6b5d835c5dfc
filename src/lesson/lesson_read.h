// SPDX-License-Identifier: MIT
// The reader of a lesson file, part by part.
#ifndef QUINTFALL_LESSON_READ_H
#define QUINTFALL_LESSON_READ_H

#include "json_unknown.h"
#include "lesson_impl.h"

enum { MAX_NOTE_ID = INT32_MAX - 1 };

/// Keep the members of an object that are not in the list
QfStatus
lesson_keep_unknown(State*             state,
                    const Members*     members,
                    const char*        place,
                    const char* const* known);

/// Read bars, signatures, staves, voices with their notes, and fermatas
QfStatus
lesson_read_score(State* state, const Members* members);

/// Read the quick hearing, the plan, the task, the rubric and the questions
QfStatus
lesson_read_settings(State* state, const Members* members);

#endif // QUINTFALL_LESSON_READ_H
