// SPDX-License-Identifier: MIT
#include "stages.h"

#include <stdlib.h>

/// A voicing of the next chord by what it costs from there on
typedef struct {
  int    cost;
  size_t index;
} Onward;

/// Where one can go on to, sorted
typedef struct {
  Onward* voicings; ///< By choice, each choice sorted
  size_t* counts;   ///< Of each choice, how many have a way on
  Onward* choices;  ///< Of one choice before, by the least that follows
} Outlook;

static int
compare_onward(const void* const a, const void* const b)
{
  const Onward* const first  = (const Onward*)a;
  const Onward* const second = (const Onward*)b;
  return first->cost != second->cost
           ? first->cost - second->cost
           : (first->index > second->index) - (first->index < second->index);
}

/// Sort the voicings of each choice, and note the least
static void
list_onward(Stage* const stage, const Outlook* const outlook)
{
  for (size_t c = 0; c < stage->n_choices; ++c) {
    Choice* const choice = &stage->choices[c];
    Onward* const onward = &outlook->voicings[choice->first];
    size_t        n      = 0;
    for (size_t i = choice->first; i < choice->first + choice->n_voiced; ++i) {
      if (stage->rests[i] < COST_NEVER) {
        onward[n++] = (Onward){stage->list.voiced[i].cost + stage->rests[i], i};
      }
    }
    qsort(onward, n, sizeof(Onward), compare_onward);
    outlook->counts[c] = n;
    choice->least      = n ? onward[0].cost : COST_NEVER;
  }
}

/// Least cost after one voicing; what costs too much at once is not looked at
static void
look_from(Stages* const        stages,
          const size_t         index,
          const size_t         from,
          const Outlook* const outlook,
          size_t               faults[GRADE_N_KINDS])
{
  Stage* const        stage  = &stages->stages[index];
  const Stage* const  next   = stage + 1;
  const Voiced* const voiced = &stage->list.voiced[from];
  const Bridge* const bridge = &stage->bridges[voiced->choice * next->n_choices];
  int                 least  = COST_NEVER;
  for (size_t k = 0; k < next->n_choices && outlook->choices[k].cost < least; ++k) {
    const size_t        choice = outlook->choices[k].index;
    const int           fee    = bridge[choice].fee;
    const Onward* const onward = &outlook->voicings[next->choices[choice].first];
    for (size_t i = 0; i < outlook->counts[choice] && fee + onward[i].cost < least; ++i) {
      const int rest = fee + onward[i].cost;
      if (rest + motion_cost(voiced, &next->list.voiced[onward[i].index]) >= least) {
        continue;
      }
      Grade     fault = GRADE_NONE;
      const int cost  = stages_connect(stages, index, from, onward[i].index, &fault);
      ++faults[fault];
      if (cost < COST_NEVER && cost + onward[i].cost < least) {
        least              = cost + onward[i].cost;
        stage->nexts[from] = onward[i].index;
      }
    }
  }
  stage->rests[from] = least;
}

static Grade
commonest(const size_t faults[GRADE_N_KINDS])
{
  Grade result = GRADE_NONE;
  for (unsigned i = 1; i < GRADE_N_KINDS; ++i) {
    if (faults[i] > (result == GRADE_NONE ? 0 : faults[result])) {
      result = (Grade)i;
    }
  }
  return result;
}

static bool
look_from_stage(Stages* const        stages,
                const size_t         index,
                const Outlook* const outlook,
                Grade* const         fault)
{
  Stage* const       stage                 = &stages->stages[index];
  const Stage* const next                  = stage + 1;
  size_t             faults[GRADE_N_KINDS] = {0};
  bool               is_reached            = false;
  list_onward(&stages->stages[index + 1U], outlook);
  for (size_t c = 0; c < stage->n_choices; ++c) {
    for (size_t k = 0; k < next->n_choices; ++k) {
      const int fee       = stage->bridges[c * next->n_choices + k].fee;
      outlook->choices[k] = (Onward){fee + next->choices[k].least, k};
    }
    qsort(outlook->choices, next->n_choices, sizeof(Onward), compare_onward);
    const Choice* const choice = &stage->choices[c];
    for (size_t from = choice->first; from < choice->first + choice->n_voiced; ++from) {
      look_from(stages, index, from, outlook, faults);
      is_reached |= stage->rests[from] < COST_NEVER;
    }
  }
  *fault = commonest(faults);
  return is_reached;
}

/// Check that every chord can be written at all, and find how many ways there are at most
static QfStatus
find_most(const Stages* const stages,
          Failure* const      failure,
          size_t* const       n_voiced,
          size_t* const       n_choices)
{
  for (size_t i = 0; i < stages->n_stages; ++i) {
    const Stage* const stage = &stages->stages[i];
    *failure                 = (Failure){.stage = i, .has_voicing = stage->list.n_voiced > 0};
    if (!failure->has_voicing) {
      return QF_ERR_IMPOSSIBLE;
    }
    *n_voiced  = stage->list.n_voiced > *n_voiced ? stage->list.n_voiced : *n_voiced;
    *n_choices = stage->n_choices > *n_choices ? stage->n_choices : *n_choices;
  }
  return QF_OK;
}

QfStatus
stages_look_ahead(Stages* const stages, Failure* const failure)
{
  size_t   n_voiced  = 0;
  size_t   n_choices = 0;
  QfStatus st        = find_most(stages, failure, &n_voiced, &n_choices);
  if (st) {
    return st;
  }

  const Outlook outlook = {.voicings = (Onward*)malloc(n_voiced * sizeof(Onward)),
                           .counts   = (size_t*)malloc(n_choices * sizeof(size_t)),
                           .choices  = (Onward*)malloc(n_choices * sizeof(Onward))};
  st = outlook.voicings && outlook.counts && outlook.choices ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = stages->n_stages - 1U; !st && i > 0; --i) {
    failure->stage = i - 1U;
    if (!look_from_stage(stages, i - 1U, &outlook, &failure->fault)) {
      st = QF_ERR_IMPOSSIBLE;
    }
  }
  free(outlook.voicings);
  free(outlook.counts);
  free(outlook.choices);
  return st;
}
