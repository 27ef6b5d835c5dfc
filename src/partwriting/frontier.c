// SPDX-License-Identifier: MIT
#include "frontier.h"

#include <stdlib.h>
#include <string.h>

static bool
is_sooner(const Frontier* const frontier, const size_t a, const size_t b)
{
  const Node* const first  = &frontier->nodes[a];
  const Node* const second = &frontier->nodes[b];
  return first->total != second->total   ? first->total < second->total
         : first->stage != second->stage ? first->stage > second->stage
                                         : a < b;
}

static void
swap_in_heap(Frontier* const frontier, const size_t a, const size_t b)
{
  const size_t kept = frontier->heap[a];
  frontier->heap[a] = frontier->heap[b];
  frontier->heap[b] = kept;
}

/// Room for one more item; what was there stays
static void*
reserve(Frontier* const frontier,
        void* const     items,
        const size_t    n_items,
        size_t* const   capacity,
        const size_t    item_size)
{
  if (n_items < *capacity) {
    return items;
  }
  const size_t wanted = *capacity ? 2U * *capacity : 1024U;
  void* const  grown  = realloc(items, wanted * item_size);
  if (!grown) {
    frontier->failed = true;
    return items;
  }
  *capacity = wanted;
  return grown;
}

static void
push_heap(Frontier* const frontier, const size_t node)
{
  frontier->heap = (size_t*)reserve(frontier, frontier->heap, frontier->n_heap,
                                    &frontier->heap_capacity, sizeof(size_t));
  if (frontier->failed) {
    return;
  }
  size_t at          = frontier->n_heap++;
  frontier->heap[at] = node;
  for (; at > 0 && is_sooner(frontier, frontier->heap[at], frontier->heap[(at - 1U) / 2U]);
       at = (at - 1U) / 2U) {
    swap_in_heap(frontier, at, (at - 1U) / 2U);
  }
}

size_t
frontier_pop(Frontier* const frontier)
{
  const size_t top  = frontier->heap[0];
  frontier->heap[0] = frontier->heap[--frontier->n_heap];
  for (size_t at = 0;;) {
    const size_t left = 2U * at + 1U;
    size_t       best = at;
    for (size_t child = left; child < left + 2U && child < frontier->n_heap; ++child) {
      best = is_sooner(frontier, frontier->heap[child], frontier->heap[best]) ? child : best;
    }
    if (best == at) {
      return top;
    }
    swap_in_heap(frontier, at, best);
    at = best;
  }
}

void
frontier_push(Frontier* const frontier, const Node* const node)
{
  frontier->nodes = (Node*)reserve(frontier, frontier->nodes, frontier->n_nodes,
                                   &frontier->node_capacity, sizeof(Node));
  if (!frontier->failed) {
    frontier->nodes[frontier->n_nodes] = *node;
    push_heap(frontier, frontier->n_nodes++);
  }
}

static size_t
hash_of(const Node* const node)
{
  size_t hash = node->stage * 2654435761U + node->voicing * 40503U + node->apart * 11400714819U;
  for (size_t v = 0; v < MAX_PARTS; ++v) {
    hash = hash * 131U + (uint8_t)node->arrival.steps[v];
    hash = hash * 131U + (uint8_t)node->arrival.semitones[v];
  }
  hash = hash * 131U + (uint8_t)node->arrival.six_four;
  return hash ^ (hash >> 17U);
}

static bool
grow_closed(Frontier* const frontier)
{
  const size_t  size  = frontier->closed_size ? 2U * frontier->closed_size : 1024U;
  size_t* const slots = (size_t*)malloc(size * sizeof(size_t));
  if (!slots) {
    frontier->failed = true;
    return false;
  }
  memset(slots, 0xFF, size * sizeof(size_t));
  for (size_t i = 0; i < frontier->closed_size; ++i) {
    if (frontier->closed[i] != SIZE_MAX) {
      size_t at = hash_of(&frontier->nodes[frontier->closed[i]]) & (size - 1U);
      while (slots[at] != SIZE_MAX) {
        at = (at + 1U) & (size - 1U);
      }
      slots[at] = frontier->closed[i];
    }
  }
  free(frontier->closed);
  frontier->closed      = slots;
  frontier->closed_size = size;
  return true;
}

bool
frontier_close(Frontier* const frontier, const size_t index, const size_t n_enough)
{
  if (2U * frontier->n_closed >= frontier->closed_size && !grow_closed(frontier)) {
    return false;
  }
  const Node* const node  = &frontier->nodes[index];
  size_t            at    = hash_of(node) & (frontier->closed_size - 1U);
  size_t            n_met = 0;
  for (; frontier->closed[at] != SIZE_MAX; at = (at + 1U) & (frontier->closed_size - 1U)) {
    const Node* const other = &frontier->nodes[frontier->closed[at]];
    n_met += other->stage == node->stage && other->voicing == node->voicing &&
             other->apart == node->apart && arrival_equals(&other->arrival, &node->arrival);
  }
  if (n_met >= n_enough) {
    return false;
  }
  frontier->closed[at] = index;
  ++frontier->n_closed;
  return true;
}

void
frontier_clear(Frontier* const frontier)
{
  free(frontier->nodes);
  free(frontier->heap);
  free(frontier->closed);
  *frontier = (Frontier){0};
}
