// SPDX-License-Identifier: MIT
#include "optimum.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

/// A way up to some stage
typedef struct {
  size_t  stage;
  size_t  voicing;
  size_t  parent; ///< Index of the node before, or SIZE_MAX
  int     cost;   ///< So far
  int     total;  ///< With the least that can follow
  Arrival arrival;
} Node;

typedef struct {
  Stages* stages;
  size_t  n_best;
  int     bound; ///< A way that costs no more is known
  Node*   nodes;
  size_t  n_nodes;
  size_t  capacity;
  size_t* heap; ///< Indices of nodes, the next one first
  size_t  n_heap;
  size_t  heap_capacity;
  size_t* closed; ///< Indices of nodes gone on from, hashed; SIZE_MAX is free
  size_t  n_closed;
  size_t  closed_size; ///< A power of two
  bool    failed;
} Search;

int
optimum_cost(Stages* const stages, const size_t* const voicings)
{
  const Stage* const all     = stages->stages;
  int                cost    = all[0].list.voiced[voicings[0]].cost;
  Arrival            arrival = {{0}, {0}};
  for (size_t i = 0; cost < COST_NEVER && i + 1U < stages->n_stages; ++i) {
    const Voiced* const from = &all[i].list.voiced[voicings[i]];
    const Voiced* const to   = &all[i + 1U].list.voiced[voicings[i + 1U]];
    cost += to->cost + stages_connection(stages, i, voicings[i], voicings[i + 1U]);
    cost += arrival_cost(&arrival, from, to, &stages->policy);
    arrival = arrival_of(from, to);
  }
  return cost;
}

/// Sooner: less in total, then further on, then found first
static bool
is_sooner(const Search* const search, const size_t a, const size_t b)
{
  const Node* const first  = &search->nodes[a];
  const Node* const second = &search->nodes[b];
  return first->total != second->total   ? first->total < second->total
         : first->stage != second->stage ? first->stage > second->stage
                                         : a < b;
}

static void
swap_in_heap(Search* const search, const size_t a, const size_t b)
{
  const size_t kept = search->heap[a];
  search->heap[a]   = search->heap[b];
  search->heap[b]   = kept;
}

static void
push_heap(Search* const search, const size_t node)
{
  if (search->n_heap == search->heap_capacity) {
    const size_t  capacity = search->heap_capacity ? 2U * search->heap_capacity : 1024U;
    size_t* const grown    = (size_t*)realloc(search->heap, capacity * sizeof(size_t));
    if (!grown) {
      search->failed = true;
      return;
    }
    search->heap          = grown;
    search->heap_capacity = capacity;
  }
  size_t at        = search->n_heap++;
  search->heap[at] = node;
  for (; at > 0 && is_sooner(search, search->heap[at], search->heap[(at - 1U) / 2U]);
       at = (at - 1U) / 2U) {
    swap_in_heap(search, at, (at - 1U) / 2U);
  }
}

static size_t
pop_heap(Search* const search)
{
  const size_t top = search->heap[0];
  search->heap[0]  = search->heap[--search->n_heap];
  for (size_t at = 0;;) {
    const size_t left = 2U * at + 1U;
    size_t       best = at;
    for (size_t child = left; child < left + 2U && child < search->n_heap; ++child) {
      best = is_sooner(search, search->heap[child], search->heap[best]) ? child : best;
    }
    if (best == at) {
      return top;
    }
    swap_in_heap(search, at, best);
    at = best;
  }
}

static void
push_node(Search* const search, const Node node)
{
  if (node.cost >= COST_NEVER || node.total > search->bound || search->failed) {
    return;
  }
  if (search->n_nodes == search->capacity) {
    const size_t capacity = search->capacity ? 2U * search->capacity : 1024U;
    Node* const  grown    = (Node*)realloc(search->nodes, capacity * sizeof(Node));
    if (!grown) {
      search->failed = true;
      return;
    }
    search->nodes    = grown;
    search->capacity = capacity;
  }
  search->nodes[search->n_nodes] = node;
  push_heap(search, search->n_nodes++);
}

static size_t
hash_of(const Node* const node)
{
  size_t hash = node->stage * 2654435761U + node->voicing * 40503U;
  for (size_t v = 0; v < MAX_PARTS; ++v) {
    hash = hash * 131U + (uint8_t)node->arrival.steps[v];
    hash = hash * 131U + (uint8_t)node->arrival.semitones[v];
  }
  return hash ^ (hash >> 17U);
}

static bool
grow_closed(Search* const search)
{
  const size_t  size  = search->closed_size ? 2U * search->closed_size : 1024U;
  size_t* const slots = (size_t*)malloc(size * sizeof(size_t));
  if (!slots) {
    search->failed = true;
    return false;
  }
  memset(slots, 0xFF, size * sizeof(size_t));
  for (size_t i = 0; i < search->closed_size; ++i) {
    if (search->closed[i] != SIZE_MAX) {
      size_t at = hash_of(&search->nodes[search->closed[i]]) & (size - 1U);
      while (slots[at] != SIZE_MAX) {
        at = (at + 1U) & (size - 1U);
      }
      slots[at] = search->closed[i];
    }
  }
  free(search->closed);
  search->closed      = slots;
  search->closed_size = size;
  return true;
}

/// Enter a node; false if its like was gone on from often enough
static bool
close_node(Search* const search, const size_t index)
{
  if (2U * search->n_closed >= search->closed_size && !grow_closed(search)) {
    return false;
  }
  const Node* const node  = &search->nodes[index];
  size_t            at    = hash_of(node) & (search->closed_size - 1U);
  size_t            n_met = 0;
  for (; search->closed[at] != SIZE_MAX; at = (at + 1U) & (search->closed_size - 1U)) {
    const Node* const other = &search->nodes[search->closed[at]];
    n_met += other->stage == node->stage && other->voicing == node->voicing &&
             arrival_equals(&other->arrival, &node->arrival);
  }
  if (n_met >= search->n_best) {
    return false;
  }
  search->closed[at] = index;
  ++search->n_closed;
  return true;
}

static void
go_on(Search* const search, const size_t index)
{
  Stages* const       stages = search->stages;
  const Node          node   = search->nodes[index];
  const Stage* const  here   = &stages->stages[node.stage];
  const Voiced* const from   = &here->list.voiced[node.voicing];
  for (size_t i = 0; i < here[1].list.n_voiced; ++i) {
    const Voiced* const to    = &here[1].list.voiced[i];
    const int           after = here[1].rests[i];
    const int           least = node.cost + to->cost + after;
    if (after >= COST_NEVER || least + motion_cost(from, to) > search->bound) {
      continue;
    }
    const int cost = node.cost + to->cost + stages_connection(stages, node.stage, node.voicing, i) +
                     arrival_cost(&node.arrival, from, to, &stages->policy);
    push_node(search, (Node){node.stage + 1U, i, index, cost, cost + after, arrival_of(from, to)});
  }
}

static QfStatus
add_way(const Search* const search, const size_t last, Ways* const ways)
{
  size_t* const voicings = (size_t*)malloc(search->stages->n_stages * sizeof(size_t));
  if (!voicings) {
    return QF_ERR_NO_MEM;
  }
  for (size_t at = last; at != SIZE_MAX; at = search->nodes[at].parent) {
    voicings[search->nodes[at].stage] = search->nodes[at].voicing;
  }
  ways->ways[ways->n_ways++] = (Way){search->nodes[last].cost, voicings};
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
    search->bound = n_costs >= search->n_best ? costs[search->n_best - 1U] : INT_MAX;
  }
  free(voicings);
  free(costs);
  return is_done;
}

static QfStatus
run(Search* const search, Ways* const ways)
{
  const Stages* const stages = search->stages;
  const Stage* const  start  = &stages->stages[0];
  for (size_t i = 0; i < start->list.n_voiced; ++i) {
    const int cost = start->list.voiced[i].cost;
    if (start->rests[i] < COST_NEVER) {
      push_node(search, (Node){0, i, SIZE_MAX, cost, cost + start->rests[i], {{0}, {0}}});
    }
  }
  while (search->n_heap && ways->n_ways < search->n_best && !search->failed) {
    const size_t node = pop_heap(search);
    if (search->nodes[node].stage + 1U == stages->n_stages) {
      if (add_way(search, node, ways)) {
        return QF_ERR_NO_MEM;
      }
    } else if (close_node(search, node)) {
      go_on(search, node);
    }
  }
  return search->failed ? QF_ERR_NO_MEM : QF_OK;
}

QfStatus
optimum_find(Stages* const stages, const size_t n_best, Ways* const result)
{
  Search   search = {.stages = stages, .n_best = n_best, .bound = INT_MAX};
  Ways     ways   = {.ways = (Way*)calloc(n_best, sizeof(Way))};
  QfStatus st     = ways.ways && find_bound(&search) ? run(&search, &ways) : QF_ERR_NO_MEM;
  free(search.nodes);
  free(search.heap);
  free(search.closed);
  if (st) {
    ways_clear(&ways);
  } else {
    *result = ways;
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
