// SPDX-License-Identifier: MIT
#include "quintfall/plan.h"

#include "plan_text.h"

#include <stdlib.h>
#include <string.h>

struct QfPlanImpl {
  char        name[QF_PLAN_NAME_SIZE];
  QfPlanStep* steps; ///< Owned
  size_t      n_steps;
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

QfPlan*
qf_plan_dup(const QfPlan* const plan)
{
  QfPlan* const copy = qf_plan_new(plan->name);
  for (size_t i = 0; copy && i < plan->n_steps; ++i) {
    if (qf_plan_insert_step(copy, i, plan->steps[i])) {
      qf_plan_free(copy);
      return NULL;
    }
  }
  return copy;
}

void
qf_plan_free(QfPlan* const plan)
{
  if (plan) {
    free(plan->steps);
    free(plan);
  }
}

bool
qf_plan_equals(const QfPlan* const a, const QfPlan* const b)
{
  bool is_same = a->n_steps == b->n_steps && !strcmp(a->name, b->name);
  for (size_t i = 0; is_same && i < a->n_steps; ++i) {
    is_same = qf_plan_step_equals(&a->steps[i], &b->steps[i]);
  }
  return is_same;
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
  return &plan->steps[index];
}

QfStatus
qf_plan_insert_step(QfPlan* const plan, const size_t index, const QfPlanStep step)
{
  if (plan->n_steps >= QF_PLAN_MAX_STEPS) {
    return QF_ERR_RANGE;
  }

  QfPlanStep* const steps =
    (QfPlanStep*)realloc(plan->steps, (plan->n_steps + 1U) * sizeof(QfPlanStep));
  if (!steps) {
    return QF_ERR_NO_MEM;
  }

  const size_t place = index < plan->n_steps ? index : plan->n_steps;
  plan->steps        = steps;
  memmove(&steps[place + 1U], &steps[place], (plan->n_steps - place) * sizeof(QfPlanStep));
  steps[place] = qf_plan_step_clamp(step);
  ++plan->n_steps;
  return QF_OK;
}

void
qf_plan_set_step(QfPlan* const plan, const size_t index, const QfPlanStep step)
{
  if (index < plan->n_steps) {
    plan->steps[index] = qf_plan_step_clamp(step);
  }
}

void
qf_plan_remove_step(QfPlan* const plan, const size_t index)
{
  if (index < plan->n_steps) {
    --plan->n_steps;
    memmove(&plan->steps[index], &plan->steps[index + 1U],
            (plan->n_steps - index) * sizeof(QfPlanStep));
  }
}

void
qf_plan_move_step(QfPlan* const plan, const size_t from, const size_t to)
{
  if (from >= plan->n_steps || to >= plan->n_steps) {
    return;
  }

  const QfPlanStep step = plan->steps[from];
  if (from < to) {
    memmove(&plan->steps[from], &plan->steps[from + 1U], (to - from) * sizeof(QfPlanStep));
  } else {
    memmove(&plan->steps[to + 1U], &plan->steps[to], (from - to) * sizeof(QfPlanStep));
  }
  plan->steps[to] = step;
}

size_t
qf_plan_n_hearings(const QfPlan* const plan)
{
  size_t n_hearings = 0;
  for (size_t i = 0; i < plan->n_steps; ++i) {
    n_hearings += plan->steps[i].kind == QF_STEP_PASS;
  }
  return n_hearings;
}

/// The first pass at or after a step, or the number of steps
static size_t
next_pass(const QfPlan* const plan, size_t step)
{
  while (step < plan->n_steps && plan->steps[step].kind != QF_STEP_PASS) {
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
    first = plan->steps[i].kind == QF_STEP_SUNG_GAP ? i + 1U : first;
  }
  while (first < next && plan->steps[first].kind == QF_STEP_SILENCE) {
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

QfPlan*
qf_plan_of_hearing(const QfHearing hearing, const QfTime from, const QfTime to)
{
  const QfHearing used      = qf_hearing_clamp(hearing);
  QfPlan* const   plan      = qf_plan_new("");
  QfPlanStep      pass      = qf_plan_step_default(QF_STEP_PASS);
  QfStatus        st        = plan ? QF_OK : QF_ERR_NO_MEM;
  pass.pass.forward         = used.forward.kind;
  pass.pass.voices          = QF_VOICE_BIT(used.forward.voice % (QF_VOICE_LOWEST + 1U));
  pass.pass.is_spread       = false;
  pass.pass.from            = from;
  pass.pass.to              = to;
  pass.pass.repeats         = used.repeats;
  pass.pass.gap             = (QfLength){used.gap_beats, QF_UNIT_BEATS};
  pass.pass.lead_ms         = used.lead_ms;
  pass.pass.program         = used.program;
  pass.pass.tempo_factor    = used.tempo_factor;
  pass.pass.softening_db    = used.softening_db;
  pass.pass.forward_gain_db = used.forward_gain_db;
  pass.pass.forward_program = used.forward_program;
  if (!st && used.has_prelude) {
    QfPlanStep prelude      = qf_plan_step_default(QF_STEP_PRELUDE);
    prelude.prelude.kind    = QF_PRELUDE_CADENCE;
    prelude.prelude.program = used.program;
    st                      = qf_plan_insert_step(plan, SIZE_MAX, prelude);
  }
  if (!st && used.has_count_in) {
    st = qf_plan_insert_step(plan, SIZE_MAX, qf_plan_step_default(QF_STEP_COUNT_IN));
  }
  st = st ? st : qf_plan_insert_step(plan, SIZE_MAX, pass);
  if (st) {
    qf_plan_free(plan);
    return NULL;
  }
  return plan;
}
