// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TESTS_LESSON_SUPPORT_H
#define QUINTFALL_TESTS_LESSON_SUPPORT_H

#include "quintfall/lesson.h"

// Shorthands that fail the running test instead of returning a status.

QfKey
key_of(const char* text);

QfMetre
metre_of(const char* text);

QfPitch
pitch_of(const char* text);

QfTime
time_of(const char* text);

QfNumeral
numeral_of(const char* text, QfMode mode);

/// (transfer full)
char*
json_of(const QfLesson* lesson);

/// (transfer full)
QfLesson*
lesson_of_json(const char* json);

/// A demo lesson by its file's name without ending (transfer full)
QfLesson*
demo_lesson(const char* name);

/// Full bars of four-part notes in A major, 4/4, with a pickup of a quarter
QfLesson*
small_lesson(void);

#endif // QUINTFALL_TESTS_LESSON_SUPPORT_H
