// SPDX-License-Identifier: MIT
#include "lesson_impl.h"

#include <stdlib.h>
#include <string.h>

enum {
  MAX_STEPS = 500,
};

#define MAX_UNDO_BYTES ((size_t)64U << 20U)

/// Room for one more step, so that pushing it cannot fail
static QfStatus
reserve_step(Steps* const steps)
{
  if (steps->n_steps < steps->capacity) {
    return QF_OK;
  }

  const size_t capacity = steps->capacity ? 2U * steps->capacity : 16U;
  Step* const  grown    = (Step*)realloc(steps->steps, capacity * sizeof(Step));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  steps->steps    = grown;
  steps->capacity = capacity;
  return QF_OK;
}

static void
push_step(Steps* const steps, const Step step)
{
  steps->steps[steps->n_steps++] = step;
}

static Step
pop_step(Steps* const steps)
{
  return steps->steps[--steps->n_steps];
}

static void
drop_redo(QfLesson* const lesson)
{
  while (lesson->redo.n_steps) {
    state_free(pop_step(&lesson->redo).state);
  }
}

/// Forget the oldest steps beyond what may be kept; the last one always stays
static void
trim_undo(QfLesson* const lesson)
{
  Steps* const undo = &lesson->undo;
  while (undo->n_steps > 1 && (undo->n_steps > MAX_STEPS || lesson->undo_size > MAX_UNDO_BYTES)) {
    lesson->undo_size -= state_size(undo->steps[0].state);
    state_free(undo->steps[0].state);
    --undo->n_steps;
    memmove(&undo->steps[0], &undo->steps[1], undo->n_steps * sizeof(Step));
  }
}

static void
show_state(QfLesson* const lesson, State* const state)
{
  lesson->state = state;
  ++lesson->revision;
  lesson->has_labels = false;
}

QfStatus
lesson_begin_edit(const QfLesson* const lesson, State** const copy, QfError* const error)
{
  if (error) {
    *error = (QfError){.measure = -1};
  }
  if (qf_lesson_is_read_only(lesson)) {
    return qf_error_set(error, QF_ERR_READ_ONLY,
                        "this lesson was written by a newer version of the program (format %d); "
                        "it can be read but not changed",
                        lesson->version);
  }

  *copy = state_dup(lesson->state);
  return *copy ? QF_OK : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
}

QfStatus
lesson_end_edit(QfLesson* const   lesson,
                State* const      copy,
                const char* const name,
                const QfStatus    status,
                QfError* const    error)
{
  const QfStatus st = status ? status : reserve_step(&lesson->undo);
  if (st) {
    state_free(copy);
    if (error && !error->text[0]) {
      qf_error_set(error, st, "%s: %s", name, qf_status_text(st));
    }
    return st;
  }

  state_prune(copy);
  copy->serial = lesson->next_serial++;
  drop_redo(lesson);
  push_step(&lesson->undo, (Step){lesson->state, name});
  lesson->undo_size += state_size(lesson->state);
  trim_undo(lesson);
  show_state(lesson, copy);
  return QF_OK;
}

void
qf_lesson_forget_history(QfLesson* const lesson)
{
  drop_redo(lesson);
  while (lesson->undo.n_steps) {
    state_free(pop_step(&lesson->undo).state);
  }
  lesson->undo_size    = 0;
  lesson->saved_serial = lesson->state->serial;
}

bool
qf_lesson_can_undo(const QfLesson* const lesson)
{
  return lesson->undo.n_steps > 0;
}

bool
qf_lesson_can_redo(const QfLesson* const lesson)
{
  return lesson->redo.n_steps > 0;
}

static const char*
last_name(const Steps* const steps)
{
  return steps->n_steps ? steps->steps[steps->n_steps - 1U].name : NULL;
}

const char*
qf_lesson_get_undo_name(const QfLesson* const lesson)
{
  return last_name(&lesson->undo);
}

const char*
qf_lesson_get_redo_name(const QfLesson* const lesson)
{
  return last_name(&lesson->redo);
}

QfStatus
qf_lesson_undo(QfLesson* const lesson)
{
  if (!lesson->undo.n_steps) {
    return QF_ERR_IMPOSSIBLE;
  }
  if (reserve_step(&lesson->redo)) {
    return QF_ERR_NO_MEM;
  }

  const Step step = pop_step(&lesson->undo);
  lesson->undo_size -= state_size(step.state);
  push_step(&lesson->redo, (Step){lesson->state, step.name});
  show_state(lesson, step.state);
  return QF_OK;
}

QfStatus
qf_lesson_redo(QfLesson* const lesson)
{
  if (!lesson->redo.n_steps) {
    return QF_ERR_IMPOSSIBLE;
  }
  if (reserve_step(&lesson->undo)) {
    return QF_ERR_NO_MEM;
  }

  const Step step = pop_step(&lesson->redo);
  push_step(&lesson->undo, (Step){lesson->state, step.name});
  lesson->undo_size += state_size(lesson->state);
  show_state(lesson, step.state);
  return QF_OK;
}
