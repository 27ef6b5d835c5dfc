// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TESTS_STUDY_SUPPORT_H
#define QUINTFALL_TESTS_STUDY_SUPPORT_H

#include "quintfall/answer.h"

// Shorthands that fail the running test instead of returning a status.

#define NOON "2026-03-09T12:00:00Z"

/// A four-part passage in text
typedef struct {
  const char* key;
  const char* metre;
  const char* voices[4]; ///< Soprano first: "G4/4 A4/2 r/4", a pitch and its part of a whole note
  const char* numerals;  ///< Pinned: "0 I; 1/4 V7/V"
} Passage;

/// (transfer full)
QfLesson*
lesson_of(const Passage* passage);

/// A task of a lesson with an attempt begun (transfer full)
QfAnswer*
begun_answer(QfLesson* lesson);

/// Write notes into a voice from a time on: "G4/4 A4/2 r/4", "C5.4" for a dotted quarter
void
write_voice(QfAnswer* answer, size_t voice, const char* start, const char* text);

/// Write numerals: "0 I; 1/4 V7/V"
void
write_numerals(QfAnswer* answer, const char* text);

/// Write qualities: "0 major; 1/4 dom7"
void
write_qualities(QfAnswer* answer, const char* text);

/// The answer without a fault: every note of the solution, every quality and numeral
void
write_solution(QfAnswer* answer, QfLesson* lesson);

/// Write the solution of one layer only
void
write_layer(QfAnswer* answer, QfLesson* lesson, QfLayer layer);

QfTime
time_of(const char* text);

QfPitch
pitch_of(const char* text);

QfKey
key_of(const char* text);

/// (transfer full)
char*
json_of_answer(const QfAnswer* answer);

/// (transfer full)
QfAnswer*
answer_of_json(const char* json);

#endif // QUINTFALL_TESTS_STUDY_SUPPORT_H
