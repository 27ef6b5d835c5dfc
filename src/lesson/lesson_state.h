// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_STATE_H
#define QUINTFALL_LESSON_STATE_H

#include "questions.h"

#include "quintfall/lesson.h"

#include <json-c/json.h>

enum {
  LESSON_VERSION   = 1,
  LESSON_TEXT_SIZE = 1 << 20, ///< Bytes of a title, composer or remarks, NUL included
  MAX_PINS         = 20000,
};

/// Everything an edit can change; owns what it holds
typedef struct {
  QfScore*        score;
  bool            has_key;
  QfKey           key;
  bool            may_modulate;
  QfKeyThresholds thresholds;
  QfPin*          pins; ///< In order of time, one for a time
  size_t          n_pins;
  uint32_t*       givens; ///< In order of identity
  size_t          n_givens;
  QfHearing       hearing;
  QfPlan*         plan; ///< Or NULL
  bool            has_study;
  QfStudy         study;
  bool            has_rubric;
  QfRubric        rubric;
  Questions*      questions; ///< Or NULL; shared
  char*           remarks;
  json_object*    unknown; ///< Members read but not known, by the place of their object; or NULL
  uint64_t        serial;  ///< Tells states of one lesson apart
} State;

/// A state around a score (takes it, also on failure); NULL if out of memory
State*
state_new(QfScore* score);

State*
state_dup(const State* state);

void
state_free(State* state);

/// Rough number of bytes held
size_t
state_size(const State* state);

QfStatus
state_set_remarks(State* state, const char* text);

/// Keep a copy of a plan, or none for NULL
QfStatus
state_set_plan(State* state, const QfPlan* plan);

bool
state_is_given(const State* state, uint32_t note);

QfStatus
state_set_given(State* state, uint32_t note, bool is_given);

/// Index of the pin at a time, or SIZE_MAX
size_t
state_pin_at(const State* state, QfTime start);

/// Add a pin, or replace the one at its time
QfStatus
state_put_pin(State* state, QfPin pin);

void
state_remove_pin(State* state, size_t index);

/// Drop pins that start in [start, end)
void
state_remove_pins(State* state, QfTime start, QfTime end);

/// Drop givens whose note is gone and pins where nothing sounds any more
void
state_prune(State* state);

/// The options labels are made with
QfLabelOptions
state_label_options(const State* state);

#endif // QUINTFALL_LESSON_STATE_H
