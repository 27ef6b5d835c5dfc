// SPDX-License-Identifier: MIT
#include "lesson_impl.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

QfStudy
qf_lesson_get_study(const QfLesson* const lesson)
{
  return lesson->state->has_study ? lesson->state->study : qf_study_default();
}

const QfRubric*
qf_lesson_get_rubric(const QfLesson* const lesson)
{
  return lesson->state->has_rubric ? &lesson->state->rubric : qf_rubric_get_shipped(0);
}

size_t
qf_lesson_n_questions(const QfLesson* const lesson)
{
  return lesson->state->questions ? lesson->state->questions->n_questions : 0;
}

const QfQuestion*
qf_lesson_get_question(const QfLesson* const lesson, const size_t index)
{
  return &lesson->state->questions->questions[index];
}

size_t
qf_lesson_find_question(const QfLesson* const lesson, const char* const id)
{
  const Questions* const questions = lesson->state->questions;
  return questions ? questions_find(questions->questions, questions->n_questions, id) : SIZE_MAX;
}

QfStatus
qf_lesson_set_study(QfLesson* const lesson, const QfStudy study, QfError* const error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  if (study.max_hearings < 0 || study.max_hearings > QF_MAX_HEARINGS || study.max_attempts < 0 ||
      study.max_attempts > QF_MAX_ATTEMPTS || study.layers & ~(unsigned)QF_ALL_LAYERS) {
    st = qf_error_set(error, QF_ERR_RANGE, "hearings and attempts are limited to 1 to %d, or 0",
                      QF_MAX_HEARINGS);
  }
  state->has_study = true;
  state->study     = study;
  return lesson_end_edit(lesson, state, "Change the task", st, error);
}

QfStatus
qf_lesson_set_rubric(QfLesson* const lesson, const QfRubric* const rubric, QfError* const error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  st                = qf_rubric_check(rubric, error);
  state->has_rubric = true;
  state->rubric     = *rubric;
  return lesson_end_edit(lesson, state, "Change the rubric", st, error);
}

static QfStatus
check_questions(const QfQuestion* const questions, const size_t n_questions, QfError* const error)
{
  if (n_questions > QF_MAX_QUESTIONS) {
    return qf_error_set(error, QF_ERR_RANGE, "a lesson has at most %d questions", QF_MAX_QUESTIONS);
  }
  for (size_t i = 0; i < n_questions; ++i) {
    const QfStatus st = qf_question_check(&questions[i], error);
    if (st) {
      return st;
    }
    if (!questions[i].id[0] || questions_find(questions, i, questions[i].id) != SIZE_MAX) {
      return qf_error_set(error, QF_ERR_RANGE, "every question needs an identity of its own");
    }
  }
  return QF_OK;
}

static QfStatus
edit_questions(QfLesson* const         lesson,
               const QfQuestion* const questions,
               const size_t            n_questions,
               const char* const       name,
               QfError* const          error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }

  st = check_questions(questions, n_questions, error);
  if (!st) {
    Questions* const copy = n_questions ? questions_new(questions, n_questions) : NULL;
    st                    = n_questions && !copy ? QF_ERR_NO_MEM : QF_OK;
    questions_drop(state->questions);
    state->questions = copy;
  }
  return lesson_end_edit(lesson, state, name, st, error);
}

QfStatus
qf_lesson_set_questions(QfLesson* const         lesson,
                        const QfQuestion* const questions,
                        const size_t            n_questions,
                        QfError* const          error)
{
  return edit_questions(lesson, questions, n_questions, "Change the questions", error);
}

/// A copy with room for one more (free()); NULL if out of memory
static QfQuestion*
copy_questions(const QfLesson* const lesson)
{
  const size_t      n_questions = qf_lesson_n_questions(lesson);
  QfQuestion* const copy        = (QfQuestion*)calloc(n_questions + 1U, sizeof(QfQuestion));
  if (copy && n_questions) {
    memcpy(copy, qf_lesson_get_question(lesson, 0), n_questions * sizeof(QfQuestion));
  }
  return copy;
}

static void
name_own(const QfLesson* const lesson, QfQuestion* const question)
{
  for (unsigned i = 1; !question->id[0]; ++i) {
    char id[QF_QUESTION_ID_SIZE];
    snprintf(id, sizeof(id), "own-%u", i);
    if (qf_lesson_find_question(lesson, id) == SIZE_MAX) {
      snprintf(question->id, sizeof(question->id), "%s", id);
    }
  }
}

QfStatus
qf_lesson_put_question(QfLesson* const         lesson,
                       const QfQuestion* const question,
                       QfError* const          error)
{
  QfQuestion* const copy = copy_questions(lesson);
  if (!copy) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  const size_t n_questions = qf_lesson_n_questions(lesson);
  const size_t found       = qf_lesson_find_question(lesson, question->id);
  const bool   is_new      = found == SIZE_MAX;
  QfQuestion*  place       = &copy[is_new ? n_questions : found];

  const bool is_own = is_new || place->is_own;
  *place            = *question;
  place->is_own     = is_own;
  place->is_edited  = !is_own;
  name_own(lesson, place);

  const QfStatus st = edit_questions(lesson, copy, n_questions + is_new,
                                     is_new ? "Add a question" : "Change a question", error);
  free(copy);
  return st;
}

QfStatus
qf_lesson_move_question(QfLesson* const lesson,
                        const size_t    from,
                        const size_t    to,
                        QfError* const  error)
{
  const size_t n_questions = qf_lesson_n_questions(lesson);
  if (from >= n_questions || to >= n_questions) {
    return qf_error_set(error, QF_ERR_RANGE, "there is no such question");
  }
  QfQuestion* const copy = copy_questions(lesson);
  if (!copy) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  const QfQuestion moved = copy[from];
  memmove(&copy[from], &copy[from + 1U], (n_questions - from - 1U) * sizeof(QfQuestion));
  memmove(&copy[to + 1U], &copy[to], (n_questions - to - 1U) * sizeof(QfQuestion));
  copy[to]          = moved;
  const QfStatus st = edit_questions(lesson, copy, n_questions, "Move a question", error);
  free(copy);
  return st;
}

QfStatus
qf_lesson_drop_question(QfLesson* const lesson,
                        const size_t    index,
                        const bool      is_dropped,
                        QfError* const  error)
{
  const size_t n_questions = qf_lesson_n_questions(lesson);
  if (index >= n_questions) {
    return qf_error_set(error, QF_ERR_RANGE, "there is no such question");
  }
  QfQuestion* const copy = copy_questions(lesson);
  if (!copy) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  const bool is_removed  = is_dropped && copy[index].is_own;
  copy[index].is_dropped = is_dropped;
  if (is_removed) {
    memmove(&copy[index], &copy[index + 1U], (n_questions - index - 1U) * sizeof(QfQuestion));
  }
  const QfStatus st = edit_questions(lesson, copy, n_questions - is_removed,
                                     is_dropped ? "Drop a question" : "Take up a question", error);
  free(copy);
  return st;
}
