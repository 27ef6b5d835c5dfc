// SPDX-License-Identifier: MIT
#include "lesson_state.h"

#include <stdlib.h>
#include <string.h>

State*
state_new(QfScore* const score)
{
  State* const state = (State*)calloc(1, sizeof(State));
  if (state && score) {
    state->score        = score;
    state->may_modulate = true;
    state->hearing      = qf_hearing_default();
    state->remarks      = strdup("");
  }
  if (!state || !score || !state->remarks) {
    free(state);
    qf_score_free(score);
    return NULL;
  }
  return state;
}

static void*
copy_array(const void* const array, const size_t n_items, const size_t item_size)
{
  void* const copy = malloc(n_items * item_size + 1U);
  if (copy && n_items) {
    memcpy(copy, array, n_items * item_size);
  }
  return copy;
}

State*
state_dup(const State* const state)
{
  State* const copy = state_new(qf_score_dup(state->score));
  if (!copy) {
    return NULL;
  }

  copy->has_key      = state->has_key;
  copy->key          = state->key;
  copy->may_modulate = state->may_modulate;
  copy->thresholds   = state->thresholds;
  copy->hearing      = state->hearing;
  copy->n_pins       = state->n_pins;
  copy->n_givens     = state->n_givens;
  copy->pins         = (QfPin*)copy_array(state->pins, state->n_pins, sizeof(QfPin));
  copy->givens       = (uint32_t*)copy_array(state->givens, state->n_givens, sizeof(uint32_t));
  copy->unknown      = json_object_get(state->unknown);
  copy->has_study    = state->has_study;
  copy->study        = state->study;
  copy->has_rubric   = state->has_rubric;
  copy->rubric       = state->rubric;
  copy->questions    = questions_share(state->questions);
  if (!copy->pins || !copy->givens || state_set_remarks(copy, state->remarks) ||
      state_set_plan(copy, state->plan)) {
    state_free(copy);
    return NULL;
  }
  return copy;
}

void
state_free(State* const state)
{
  if (state) {
    json_object_put(state->unknown);
    qf_score_free(state->score);
    free(state->pins);
    free(state->givens);
    free(state->remarks);
    qf_plan_free(state->plan);
    questions_drop(state->questions);
    free(state);
  }
}

size_t
state_size(const State* const state)
{
  enum { INDEX_FACTOR = 2 }; // A score keeps an index as large as its notes.

  size_t n_notes = 0;
  for (size_t v = 0; v < qf_score_n_voices(state->score); ++v) {
    n_notes += qf_score_n_notes(state->score, v);
  }
  return sizeof(State) + INDEX_FACTOR * n_notes * sizeof(QfNote) +
         qf_score_n_bars(state->score) * sizeof(QfBar) + state->n_pins * sizeof(QfPin) +
         state->n_givens * sizeof(uint32_t) + strlen(state->remarks) +
         (state->plan ? qf_plan_n_steps(state->plan) * sizeof(QfPlanStep) : 0U);
}

QfStatus
state_set_remarks(State* const state, const char* const text)
{
  char* const copy = strdup(text);
  if (!copy) {
    return QF_ERR_NO_MEM;
  }
  free(state->remarks);
  state->remarks = copy;
  return QF_OK;
}

QfStatus
state_set_plan(State* const state, const QfPlan* const plan)
{
  QfPlan* const copy = plan ? qf_plan_dup(plan) : NULL;
  if (plan && !copy) {
    return QF_ERR_NO_MEM;
  }
  qf_plan_free(state->plan);
  state->plan = copy;
  return QF_OK;
}

/// Index of the first given not below a note
static size_t
given_place(const State* const state, const uint32_t note)
{
  size_t low  = 0;
  size_t high = state->n_givens;
  while (low < high) {
    const size_t middle = low + (high - low) / 2U;
    if (state->givens[middle] < note) {
      low = middle + 1U;
    } else {
      high = middle;
    }
  }
  return low;
}

bool
state_is_given(const State* const state, const uint32_t note)
{
  const size_t place = given_place(state, note);
  return place < state->n_givens && state->givens[place] == note;
}

QfStatus
state_set_given(State* const state, const uint32_t note, const bool is_given)
{
  if (state_is_given(state, note) == is_given) {
    return QF_OK;
  }

  const size_t place = given_place(state, note);
  const size_t after = state->n_givens - place;
  if (!is_given) {
    memmove(&state->givens[place], &state->givens[place + 1U], (after - 1U) * sizeof(uint32_t));
    --state->n_givens;
    return QF_OK;
  }

  uint32_t* const grown =
    (uint32_t*)realloc(state->givens, (state->n_givens + 1U) * sizeof(uint32_t));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  state->givens = grown;
  memmove(&grown[place + 1U], &grown[place], after * sizeof(uint32_t));
  grown[place] = note;
  ++state->n_givens;
  return QF_OK;
}

/// Index of the first pin not before a time
static size_t
pin_place(const State* const state, const QfTime start)
{
  size_t low  = 0;
  size_t high = state->n_pins;
  while (low < high) {
    const size_t middle = low + (high - low) / 2U;
    if (qf_time_compare(state->pins[middle].start, start) < 0) {
      low = middle + 1U;
    } else {
      high = middle;
    }
  }
  return low;
}

size_t
state_pin_at(const State* const state, const QfTime start)
{
  const size_t place = pin_place(state, start);
  return place < state->n_pins && !qf_time_compare(state->pins[place].start, start) ? place
                                                                                    : SIZE_MAX;
}

QfStatus
state_put_pin(State* const state, const QfPin pin)
{
  const size_t index = state_pin_at(state, pin.start);
  if (index != SIZE_MAX) {
    state->pins[index] = pin;
    return QF_OK;
  }
  if (state->n_pins >= MAX_PINS) {
    return QF_ERR_RANGE;
  }

  const size_t place = pin_place(state, pin.start);
  QfPin* const grown = (QfPin*)realloc(state->pins, (state->n_pins + 1U) * sizeof(QfPin));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  state->pins = grown;
  memmove(&grown[place + 1U], &grown[place], (state->n_pins - place) * sizeof(QfPin));
  grown[place] = pin;
  ++state->n_pins;
  return QF_OK;
}

void
state_remove_pin(State* const state, const size_t index)
{
  --state->n_pins;
  memmove(&state->pins[index], &state->pins[index + 1U], (state->n_pins - index) * sizeof(QfPin));
}

void
state_remove_pins(State* const state, const QfTime start, const QfTime end)
{
  for (size_t i = state->n_pins; i > 0; --i) {
    const QfTime at = state->pins[i - 1U].start;
    if (qf_time_compare(at, start) >= 0 && qf_time_compare(at, end) < 0) {
      state_remove_pin(state, i - 1U);
    }
  }
}

static bool
sounds_at(const QfScore* const score, const QfTime time)
{
  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    if (qf_score_note_at(score, v, time)) {
      return true;
    }
  }
  return false;
}

void
state_prune(State* const state)
{
  size_t n_givens = 0;
  for (size_t i = 0; i < state->n_givens; ++i) {
    if (qf_score_find_note(state->score, state->givens[i], NULL)) {
      state->givens[n_givens++] = state->givens[i];
    }
  }
  state->n_givens = n_givens;

  size_t n_pins = 0;
  for (size_t i = 0; i < state->n_pins; ++i) {
    if (sounds_at(state->score, state->pins[i].start)) {
      state->pins[n_pins++] = state->pins[i];
    }
  }
  state->n_pins = n_pins;
}

QfLabelOptions
state_label_options(const State* const state)
{
  return (QfLabelOptions){.has_key      = state->has_key,
                          .key          = state->key,
                          .may_modulate = state->may_modulate,
                          .pins         = state->pins,
                          .n_pins       = state->n_pins,
                          .thresholds   = state->thresholds};
}
