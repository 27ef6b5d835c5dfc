// SPDX-License-Identifier: MIT
#include "lesson_impl.h"

#include <stdlib.h>

QfLesson*
lesson_new_from_state(State* const state)
{
  QfLesson* const lesson = state ? (QfLesson*)calloc(1, sizeof(QfLesson)) : NULL;
  if (!lesson) {
    state_free(state);
    return NULL;
  }

  lesson->state        = state;
  lesson->version      = LESSON_VERSION;
  lesson->next_serial  = state->serial + 1U;
  lesson->saved_serial = state->serial;
  return lesson;
}

QfLesson*
qf_lesson_new(const QfKey key, const QfMetre metre, const QfTime pickup, const size_t n_bars)
{
  State* const state = state_new(qf_score_new_satb(key, metre, pickup, n_bars));
  if (state) {
    state->has_key      = true;
    state->key          = key;
    state->may_modulate = false;
  }
  return lesson_new_from_state(state);
}

QfLesson*
qf_lesson_new_from_score(QfScore* const score)
{
  return lesson_new_from_state(state_new(score));
}

static void
steps_clear(Steps* const steps)
{
  for (size_t i = 0; i < steps->n_steps; ++i) {
    state_free(steps->steps[i].state);
  }
  free(steps->steps);
}

void
qf_lesson_free(QfLesson* const lesson)
{
  if (lesson) {
    steps_clear(&lesson->undo);
    steps_clear(&lesson->redo);
    qf_labels_free(lesson->labels);
    state_free(lesson->state);
    free(lesson);
  }
}

const QfScore*
qf_lesson_get_score(const QfLesson* const lesson)
{
  return lesson->state->score;
}

const QfLabels*
lesson_label_state(QfLesson* const lesson, const State* const state)
{
  QfLabelOptions options = state_label_options(state);

  options.naming = lesson->naming;
  qf_labels_update(&lesson->labels, state->score, options, NULL);
  lesson->has_labels = lesson->labels && state == lesson->state;
  return lesson->labels;
}

const QfLabels*
qf_lesson_get_labels(QfLesson* const lesson)
{
  return lesson->has_labels ? lesson->labels : lesson_label_state(lesson, lesson->state);
}

void
qf_lesson_set_naming(QfLesson* const lesson, const QfNamingKind naming)
{
  if (lesson->naming != naming) {
    lesson->naming     = naming;
    lesson->has_labels = false;
  }
}

bool
qf_lesson_get_key(const QfLesson* const lesson, QfKey* const key)
{
  if (lesson->state->has_key) {
    *key = lesson->state->key;
  }
  return lesson->state->has_key;
}

bool
qf_lesson_get_may_modulate(const QfLesson* const lesson)
{
  return lesson->state->may_modulate;
}

QfKeyThresholds
qf_lesson_get_key_thresholds(const QfLesson* const lesson)
{
  return lesson->state->thresholds;
}

const char*
qf_lesson_get_notes_text(const QfLesson* const lesson)
{
  return lesson->state->remarks;
}

QfHearing
qf_lesson_get_hearing(const QfLesson* const lesson)
{
  return lesson->state->hearing;
}

const QfPlan*
qf_lesson_get_plan(const QfLesson* const lesson)
{
  return lesson->state->plan;
}

bool
qf_lesson_is_given(const QfLesson* const lesson, const uint32_t note)
{
  return state_is_given(lesson->state, note);
}

size_t
qf_lesson_n_pins(const QfLesson* const lesson)
{
  return lesson->state->n_pins;
}

const QfPin*
qf_lesson_get_pin(const QfLesson* const lesson, const size_t index)
{
  return &lesson->state->pins[index];
}

uint64_t
qf_lesson_get_revision(const QfLesson* const lesson)
{
  return lesson->revision;
}

bool
qf_lesson_is_modified(const QfLesson* const lesson)
{
  return lesson->state->serial != lesson->saved_serial;
}

bool
qf_lesson_is_read_only(const QfLesson* const lesson)
{
  return lesson->version > LESSON_VERSION;
}
