// SPDX-License-Identifier: MIT
#include "optimum.h"

#include "frontier.h"

#include <limits.h>
#include <stdlib.h>

enum {
  FIRST_SLACK = 16, ///< Beyond the best way, where more are wanted; doubled until they are found
};

typedef struct {
  Stages*  stages;
  size_t   n_best;
  int      bound;  ///< What costs more is not looked at
  bool     is_cut; ///< Something was not looked at
  Frontier frontier;
} Search;

int
optimum_cost(Stages* const stages, const size_t* const voicings)
{
  const Stage* const all     = stages->stages;
  int                cost    = all[0].list.voiced[voicings[0]].cost;
  Arrival            arrival = {{0}, {0}, SIX_FOUR_NONE};
  for (size_t i = 0; cost < COST_NEVER && i + 1U < stages->n_stages; ++i) {
    const Voiced* const  from = &all[i].list.voiced[voicings[i]];
    const Voiced* const  to   = &all[i + 1U].list.voiced[voicings[i + 1U]];
    const Passage* const passage =
      &stages_bridge(stages, i, voicings[i], voicings[i + 1U])->passage;
    cost += to->cost + stages_connection(stages, i, voicings[i], voicings[i + 1U]);
    cost += arrival_cost(&arrival, passage, from, to, &stages->policy);
    arrival = arrival_of(passage, from, to);
  }
  return cost;
}

/// The lineage of a voicing that follows another; 0 without a lexicon
static uint32_t
lineage_of(Search* const search, const uint32_t before, const size_t stage, const size_t voicing)
{
  const Lexicon* const lexicon = search->stages->task->lexicon;
  if (!lexicon) {
    return 0;
  }
  const size_t word = stage_choice(&search->stages->stages[stage], voicing)->word;
  return frontier_lineage(&search->frontier, before, lexicon->classes[word]);
}

static void
try_to(Search* const search, const Node* const node, const size_t index, const size_t voicing)
{
  Stages* const        stages  = search->stages;
  const Stage* const   here    = &stages->stages[node->stage];
  const Voiced* const  from    = &here->list.voiced[node->voicing];
  const Voiced* const  to      = &here[1].list.voiced[voicing];
  const Bridge* const  bridge  = stages_bridge(stages, node->stage, node->voicing, voicing);
  const Passage* const passage = &bridge->passage;
  const int            after   = here[1].rests[voicing];
  const int            least   = node->cost + to->cost + after + bridge->fee;
  if (after >= COST_NEVER) {
    return;
  }
  if (least > search->bound || least + motion_cost(from, to) > search->bound) {
    search->is_cut = true;
    return;
  }
  const int cost = node->cost + to->cost +
                   stages_connection(stages, node->stage, node->voicing, voicing) +
                   arrival_cost(&node->arrival, passage, from, to, &stages->policy);
  if (cost >= COST_NEVER) {
    return;
  }
  if (cost + after > search->bound) {
    search->is_cut = true;
    return;
  }
  const Node next = {.stage   = node->stage + 1U,
                     .voicing = voicing,
                     .parent  = index,
                     .lineage = lineage_of(search, node->lineage, node->stage + 1U, voicing),
                     .cost    = cost,
                     .total   = cost + after,
                     .arrival = arrival_of(passage, from, to)};
  frontier_push(&search->frontier, &next);
}

static void
go_on(Search* const search, const size_t index)
{
  const Node          node = search->frontier.nodes[index];
  const Stage* const  here = &search->stages->stages[node.stage];
  const Stage* const  next = here + 1;
  const Bridge* const bridge =
    &here->bridges[here->list.voiced[node.voicing].choice * next->n_choices];
  for (size_t c = 0; c < next->n_choices; ++c) {
    const Choice* const choice = &next->choices[c];
    if (node.cost + bridge[c].fee + choice->least > search->bound) {
      search->is_cut = true;
      continue;
    }
    for (size_t i = choice->first; i < choice->first + choice->n_voiced; ++i) {
      try_to(search, &node, index, i);
    }
  }
}

static QfStatus
add_way(const Search* const search, const size_t last, Ways* const ways)
{
  const Node* const nodes    = search->frontier.nodes;
  size_t* const     voicings = (size_t*)malloc(search->stages->n_stages * sizeof(size_t));
  if (!voicings) {
    return QF_ERR_NO_MEM;
  }
  for (size_t at = last; at != SIZE_MAX; at = nodes[at].parent) {
    voicings[nodes[at].stage] = nodes[at].voicing;
  }
  ways->ways[ways->n_ways++] = (Way){nodes[last].cost, nodes[last].lineage, voicings};
  return QF_OK;
}

static bool
is_known(const Ways* const ways, const uint32_t lineage)
{
  for (size_t i = 0; i < ways->n_ways; ++i) {
    if (lineage && ways->ways[i].lineage == lineage) {
      return true;
    }
  }
  return false;
}

static int
compare_ints(const void* const a, const void* const b)
{
  const int first  = *(const int*)a;
  const int second = *(const int*)b;
  return (first > second) - (first < second);
}

/// Follow the look-ahead from every first voicing: as many ways as that are known to exist.
/// They may be of one lineage, so that with a lexicon only the first is certain.
static bool
find_bound(Search* const search)
{
  Stages* const stages   = search->stages;
  const size_t  n_first  = stages->stages[0].list.n_voiced;
  size_t* const voicings = (size_t*)malloc(stages->n_stages * sizeof(size_t));
  int* const    costs    = (int*)malloc(n_first * sizeof(int));
  size_t        n_costs  = 0;
  const bool    is_done  = voicings && costs;
  for (size_t i = 0; is_done && i < n_first; ++i) {
    if (stages->stages[0].rests[i] >= COST_NEVER) {
      continue;
    }
    voicings[0] = i;
    for (size_t k = 0; k + 1U < stages->n_stages; ++k) {
      voicings[k + 1U] = stages->stages[k].nexts[voicings[k]];
    }
    costs[n_costs++] = optimum_cost(stages, voicings);
  }
  if (is_done) {
    qsort(costs, n_costs, sizeof(int), compare_ints);
    const size_t wanted = stages->task->lexicon ? 1U : search->n_best;
    search->bound       = n_costs >= wanted ? costs[wanted - 1U] : INT_MAX;
  }
  free(voicings);
  free(costs);
  return is_done;
}

static void
start(Search* const search)
{
  const Stage* const stage = &search->stages->stages[0];
  for (size_t i = 0; i < stage->list.n_voiced; ++i) {
    const int cost  = stage->list.voiced[i].cost;
    const int total = cost + stage->rests[i];
    if (stage->rests[i] < COST_NEVER && total <= search->bound) {
      const Node node = {.voicing = i,
                         .parent  = SIZE_MAX,
                         .lineage = lineage_of(search, 0, 0, i),
                         .cost    = cost,
                         .total   = total};
      frontier_push(&search->frontier, &node);
    } else {
      search->is_cut |= stage->rests[i] < COST_NEVER;
    }
  }
}

/// Find what costs no more than the bound
static QfStatus
run(Search* const search, Ways* const ways)
{
  Frontier* const frontier = &search->frontier;
  start(search);
  while (frontier->n_heap && ways->n_ways < search->n_best && !frontier->failed) {
    const size_t      node   = frontier_pop(frontier);
    const Node* const popped = &frontier->nodes[node];
    if (popped->stage + 1U < search->stages->n_stages) {
      if (frontier_close(frontier, node, search->n_best)) {
        go_on(search, node);
      }
    } else if (!is_known(ways, popped->lineage) && add_way(search, node, ways)) {
      return QF_ERR_NO_MEM;
    }
  }
  return frontier->failed ? QF_ERR_NO_MEM : QF_OK;
}

QfStatus
optimum_find(Stages* const stages, const size_t n_best, Ways* const result)
{
  Search search = {.stages = stages, .n_best = n_best, .bound = INT_MAX};
  if (!find_bound(&search)) {
    return QF_ERR_NO_MEM;
  }

  const int first = search.bound;
  for (int slack = n_best > 1 ? FIRST_SLACK : 0;; slack *= 2) {
    Ways ways     = {.ways = (Way*)calloc(n_best, sizeof(Way))};
    search.is_cut = false;
    search.bound  = stages->task->lexicon && first < INT_MAX ? first + slack : first;
    QfStatus st   = ways.ways ? run(&search, &ways) : QF_ERR_NO_MEM;
    frontier_clear(&search.frontier);
    if (st || ways.n_ways == n_best || !search.is_cut) {
      if (st) {
        ways_clear(&ways);
      } else {
        *result = ways;
      }
      return st;
    }
    ways_clear(&ways);
  }
}

void
ways_clear(Ways* const ways)
{
  for (size_t i = 0; i < ways->n_ways; ++i) {
    free(ways->ways[i].voicings);
  }
  free(ways->ways);
  *ways = (Ways){0};
}
