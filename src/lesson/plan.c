// SPDX-License-Identifier: MIT
#include "quintfall/plan.h"

#include "plan_text.h"
#include "plan_unknown.h"

#include <stdlib.h>
#include <string.h>

/// A step, and what its file had that is not known
typedef struct {
  QfPlanStep step;
  char*      unknown; ///< JSON object (owned), or NULL
} Entry;

struct QfPlanImpl {
  char   name[QF_PLAN_NAME_SIZE];
  char*  unknown; ///< As of a step
  Entry* entries; ///< Owned
  size_t n_steps;
};

QfPlan*
qf_plan_new(const char* const name)
{
  QfPlan* const plan = (QfPlan*)calloc(1, sizeof(QfPlan));
  if (plan) {
    qf_plan_set_name(plan, name);
  }
  return plan;
}

/// Copy what is not known from one plan to another with the same steps
static QfStatus
copy_unknown(const QfPlan* const from, QfPlan* const to)
{
  QfStatus st = plan_set_unknown(to, SIZE_MAX, from->unknown);
  for (size_t i = 0; !st && i < from->n_steps; ++i) {
    st = plan_set_unknown(to, i, from->entries[i].unknown);
  }
  return st;
}

QfPlan*
qf_plan_dup(const QfPlan* const plan)
{
  QfPlan* const copy = qf_plan_new(plan->name);
  QfStatus      st   = copy ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = 0; !st && i < plan->n_steps; ++i) {
    st = qf_plan_insert_step(copy, i, plan->entries[i].step);
  }
  st = st ? st : copy_unknown(plan, copy);
  if (st) {
    qf_plan_free(copy);
    return NULL;
  }
  return copy;
}

void
qf_plan_free(QfPlan* const plan)
{
  if (plan) {
    for (size_t i = 0; i < plan->n_steps; ++i) {
      free(plan->entries[i].unknown);
    }
    free(plan->entries);
    free(plan->unknown);
    free(plan);
  }
}

static bool
same_text(const char* const a, const char* const b)
{
  return a && b ? !strcmp(a, b) : a == b;
}

bool
qf_plan_equals(const QfPlan* const a, const QfPlan* const b)
{
  bool is_same =
    a->n_steps == b->n_steps && !strcmp(a->name, b->name) && same_text(a->unknown, b->unknown);
  for (size_t i = 0; is_same && i < a->n_steps; ++i) {
    is_same = qf_plan_step_equals(&a->entries[i].step, &b->entries[i].step) &&
              same_text(a->entries[i].unknown, b->entries[i].unknown);
  }
  return is_same;
}

const char*
plan_get_unknown(const QfPlan* const plan, const size_t step)
{
  return step < plan->n_steps ? plan->entries[step].unknown : plan->unknown;
}

QfStatus
plan_set_unknown(QfPlan* const plan, const size_t step, const char* const json)
{
  char** const place = step < plan->n_steps ? &plan->entries[step].unknown : &plan->unknown;
  char* const  copy  = json ? strdup(json) : NULL;
  if (json && !copy) {
    return QF_ERR_NO_MEM;
  }
  free(*place);
  *place = copy;
  return QF_OK;
}

const char*
qf_plan_get_name(const QfPlan* const plan)
{
  return plan->name;
}

void
qf_plan_set_name(QfPlan* const plan, const char* const name)
{
  plan_text_copy(plan->name, sizeof(plan->name), name);
}

size_t
qf_plan_n_steps(const QfPlan* const plan)
{
  return plan->n_steps;
}

const QfPlanStep*
qf_plan_get_step(const QfPlan* const plan, const size_t index)
{
  return &plan->entries[index].step;
}

QfStatus
qf_plan_insert_step(QfPlan* const plan, const size_t index, const QfPlanStep step)
{
  if (plan->n_steps >= QF_PLAN_MAX_STEPS) {
    return QF_ERR_RANGE;
  }

  Entry* const entries = (Entry*)realloc(plan->entries, (plan->n_steps + 1U) * sizeof(Entry));
  if (!entries) {
    return QF_ERR_NO_MEM;
  }

  const size_t place = index < plan->n_steps ? index : plan->n_steps;
  plan->entries      = entries;
  memmove(&entries[place + 1U], &entries[place], (plan->n_steps - place) * sizeof(Entry));
  entries[place] = (Entry){qf_plan_step_clamp(step), NULL};
  ++plan->n_steps;
  return QF_OK;
}

void
qf_plan_set_step(QfPlan* const plan, const size_t index, const QfPlanStep step)
{
  if (index < plan->n_steps) {
    Entry* const entry = &plan->entries[index];
    if (entry->step.kind != step.kind) {
      free(entry->unknown);
      entry->unknown = NULL;
    }
    entry->step = qf_plan_step_clamp(step);
  }
}

void
qf_plan_remove_step(QfPlan* const plan, const size_t index)
{
  if (index < plan->n_steps) {
    --plan->n_steps;
    free(plan->entries[index].unknown);
    memmove(&plan->entries[index], &plan->entries[index + 1U],
            (plan->n_steps - index) * sizeof(Entry));
  }
}

void
qf_plan_move_step(QfPlan* const plan, const size_t from, const size_t to)
{
  if (from >= plan->n_steps || to >= plan->n_steps) {
    return;
  }

  Entry* const entries = plan->entries;
  const Entry  entry   = entries[from];
  if (from < to) {
    memmove(&entries[from], &entries[from + 1U], (to - from) * sizeof(Entry));
  } else {
    memmove(&entries[to + 1U], &entries[to], (from - to) * sizeof(Entry));
  }
  entries[to] = entry;
}

size_t
qf_plan_n_hearings(const QfPlan* const plan)
{
  size_t n_hearings = 0;
  for (size_t i = 0; i < plan->n_steps; ++i) {
    n_hearings += plan->entries[i].step.kind == QF_STEP_PASS;
  }
  return n_hearings;
}

/// The first pass at or after a step, or the number of steps
static size_t
next_pass(const QfPlan* const plan, size_t step)
{
  while (step < plan->n_steps && plan->entries[step].step.kind != QF_STEP_PASS) {
    ++step;
  }
  return step;
}

/// First of the steps between a pass and the next that leads up to the next
static size_t
lead_up(const QfPlan* const plan, const size_t pass, const size_t next)
{
  size_t first = pass + 1U;
  for (size_t i = pass + 1U; i < next; ++i) {
    first = plan->entries[i].step.kind == QF_STEP_SUNG_GAP ? i + 1U : first;
  }
  while (first < next && plan->entries[first].step.kind == QF_STEP_SILENCE) {
    ++first;
  }
  return first;
}

size_t
qf_plan_hearing_of(const QfPlan* const plan, const size_t step)
{
  size_t hearing = 0;
  size_t pass    = next_pass(plan, 0);
  while (pass < plan->n_steps) {
    const size_t next = next_pass(plan, pass + 1U);
    if (next >= plan->n_steps || step < lead_up(plan, pass, next)) {
      break;
    }
    pass = next;
    ++hearing;
  }
  return hearing;
}
