// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_PLAN_TEXT_H
#define QUINTFALL_LESSON_PLAN_TEXT_H

#include <stddef.h>

/// Copy a text, cut before a character that would not fit whole; the rest is filled with NUL
void
plan_text_copy(char* target, size_t size, const char* source);

#endif // QUINTFALL_LESSON_PLAN_TEXT_H
