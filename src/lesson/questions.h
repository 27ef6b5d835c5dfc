// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_QUESTIONS_H
#define QUINTFALL_LESSON_QUESTIONS_H

#include "json_read.h"

#include "quintfall/question.h"

/// The questions of a state; never changed once made, and so shared between states
typedef struct {
  size_t     n_owners;
  size_t     n_questions;
  QfQuestion questions[];
} Questions;

/// Copy questions (one owner); NULL if out of memory
Questions*
questions_new(const QfQuestion* questions, size_t n_questions);

/// Another owner; NULL is fine
Questions*
questions_share(Questions* questions);

/// One owner less; NULL is fine
void
questions_drop(Questions* questions);

/// Index of a question by its identity, or SIZE_MAX
size_t
questions_find(const QfQuestion* questions, size_t n_questions, const char* id);

/// Members a question has, ended by NULL
extern const char* const question_members[];

void
question_json_add(json_object* object, const QfQuestion* question);

QfStatus
question_json_read(const Members* members, QfQuestion* result);

#endif // QUINTFALL_LESSON_QUESTIONS_H
