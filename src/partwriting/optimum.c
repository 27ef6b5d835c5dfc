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
  size_t   n_wanted; ///< Ways to be found in one run
  size_t   n_apart;
  int      bound;  ///< What costs more is not looked at
  bool     is_cut; ///< Something was not looked at
  Ways     ways;   ///< Found so far
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

static uint8_t
class_of(const Stages* const stages, const size_t stage, const size_t voicing)
{
  return stages->task->lexicon->classes[stage_choice(&stages->stages[stage], voicing)->word];
}

/// Count the chords that differ from those of the ways found, up to as many as are wanted
static uint64_t
count_apart(const Search* const search,
            const uint64_t      before,
            const size_t        stage,
            const size_t        voicing)
{
  uint64_t apart = before;
  for (size_t w = 0; search->stages->task->lexicon && w < search->ways.n_ways; ++w) {
    const uint64_t count = (before >> 4U * w) & 0xFU;
    const size_t   other = search->ways.ways[w].voicings[stage];
    if (count < search->n_apart &&
        class_of(search->stages, stage, voicing) != class_of(search->stages, stage, other)) {
      apart += (uint64_t)1U << 4U * w;
    }
  }
  return apart;
}

/// Can a way differ enough from all that were found, with so many chords still to come?
static bool
can_differ(const Search* const search, const uint64_t apart, const size_t n_left)
{
  for (size_t w = 0; search->stages->task->lexicon && w < search->ways.n_ways; ++w) {
    if (((apart >> 4U * w) & 0xFU) + n_left < search->n_apart) {
      return false;
    }
  }
  return true;
}

/// Enter a way unless it costs too much, or is too like one that was found
static void
push(Search* const search, const Node* const node)
{
  const size_t n_left = search->stages->n_stages - 1U - node->stage;
  if (node->total > search->bound) {
    search->is_cut = true;
  } else if (can_differ(search, node->apart, n_left)) {
    frontier_push(&search->frontier, node);
  }
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
  const Node next = {.stage   = node->stage + 1U,
                     .voicing = voicing,
                     .parent  = index,
                     .apart   = count_apart(search, node->apart, node->stage + 1U, voicing),
                     .cost    = cost,
                     .total   = cost + after,
                     .arrival = arrival_of(passage, from, to)};
  push(search, &next);
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
add_way(Search* const search, const size_t last)
{
  const Node* const nodes    = search->frontier.nodes;
  size_t* const     voicings = (size_t*)malloc(search->stages->n_stages * sizeof(size_t));
  if (!voicings) {
    return QF_ERR_NO_MEM;
  }
  for (size_t at = last; at != SIZE_MAX; at = nodes[at].parent) {
    voicings[nodes[at].stage] = nodes[at].voicing;
  }
  search->ways.ways[search->ways.n_ways++] = (Way){nodes[last].cost, voicings};
  return QF_OK;
}

static int
compare_ints(const void* const a, const void* const b)
{
  const int first  = *(const int*)a;
  const int second = *(const int*)b;
  return (first > second) - (first < second);
}

/// Follow the look-ahead from every first voicing: as many ways as that are known to exist
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
    search->bound = n_costs >= search->n_wanted ? costs[search->n_wanted - 1U] : INT_MAX;
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
    const int cost = stage->list.voiced[i].cost;
    if (stage->rests[i] < COST_NEVER) {
      const Node node = {.voicing = i,
                         .parent  = SIZE_MAX,
                         .apart   = count_apart(search, 0, 0, i),
                         .cost    = cost,
                         .total   = cost + stage->rests[i]};
      push(search, &node);
    }
  }
}

/// Find as many ways as are wanted among those that cost no more than the bound
static QfStatus
run(Search* const search)
{
  Frontier* const frontier = &search->frontier;
  const size_t    n_before = search->ways.n_ways;
  QfStatus        st       = QF_OK;
  search->is_cut           = false;
  start(search);
  while (!st && frontier->n_heap && search->ways.n_ways < n_before + search->n_wanted) {
    const size_t node = frontier_pop(frontier);
    if (frontier->nodes[node].stage + 1U == search->stages->n_stages) {
      st = add_way(search, node);
    } else if (frontier_close(frontier, node, search->n_wanted)) {
      go_on(search, node);
    }
    st = frontier->failed ? QF_ERR_NO_MEM : st;
  }
  frontier_clear(frontier);
  return st;
}

/// One way after another, each as different from those before as was asked
static QfStatus
find_apart(Search* const search, const size_t n_best)
{
  QfStatus st    = QF_OK;
  int      slack = 0;
  while (!st && search->ways.n_ways < n_best) {
    const size_t n_before = search->ways.n_ways;
    st                    = run(search);
    if (!st && search->ways.n_ways == n_before) {
      if (!search->is_cut) {
        return QF_OK;
      }
      slack = slack ? 2 * slack : FIRST_SLACK;
      search->bound += slack;
    }
  }
  return st;
}

QfStatus
optimum_find(Stages* const stages, const size_t n_best, const size_t n_apart, Ways* const result)
{
  const bool is_apart = stages->task->lexicon != NULL;
  Search     search   = {.stages   = stages,
                         .n_wanted = is_apart ? 1U : n_best,
                         .n_apart  = n_apart,
                         .ways     = {.ways = (Way*)calloc(n_best, sizeof(Way))}};
  QfStatus   st       = search.ways.ways && find_bound(&search) ? QF_OK : QF_ERR_NO_MEM;
  st                  = st ? st : is_apart ? find_apart(&search, n_best) : run(&search);
  if (st) {
    ways_clear(&search.ways);
  } else {
    *result = search.ways;
  }
  return st;
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
