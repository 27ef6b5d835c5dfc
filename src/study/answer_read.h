// SPDX-License-Identifier: MIT
// The reader of an answer file, part by part.
#ifndef QUINTFALL_STUDY_ANSWER_READ_H
#define QUINTFALL_STUDY_ANSWER_READ_H

#include "answer_impl.h"
#include "json_read.h"

/// Read "at" into #QF_ANSWER_TIME_SIZE bytes
QfStatus
answer_read_time_of_day(const Members* members, char* buffer);

/// Read one attempt; `data` is the #QfAnswer that gets it
QfStatus
answer_read_attempt(const Members* members, void* data);

#endif // QUINTFALL_STUDY_ANSWER_READ_H
