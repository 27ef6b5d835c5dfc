// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_FRONTIER_H
#define QUINTFALL_PARTWRITING_FRONTIER_H

#include "connection.h"

/// A way up to some stage
typedef struct {
  size_t   stage;
  size_t   voicing;
  size_t   parent; ///< Index of the node before, or SIZE_MAX
  uint64_t apart;  ///< By way to differ from, four bits each: chords it differs in, up to enough
  int      cost;   ///< So far
  int      total;  ///< With the least that can follow
  Arrival  arrival;
} Node;

/// The ways a search has found and not gone on from, and those it has
typedef struct {
  Node*  nodes; ///< Owned, as all below
  size_t n_nodes;
  size_t node_capacity;

  size_t* heap; ///< Indices of nodes, the next one first
  size_t  n_heap;
  size_t  heap_capacity;

  size_t* closed; ///< Indices of nodes gone on from, hashed; SIZE_MAX is free
  size_t  n_closed;
  size_t  closed_size; ///< A power of two

  bool failed; ///< Out of memory; nothing more is entered
} Frontier;

void
frontier_push(Frontier* frontier, const Node* node);

/// Take the next node: less in total, then further on, then found first
size_t
frontier_pop(Frontier* frontier);

/**
   Enter a node as gone on from.

   @return False if that is no use: the same place was reached before at no more
   cost, `n_enough` times.
*/
bool
frontier_close(Frontier* frontier, size_t node, size_t n_enough);

void
frontier_clear(Frontier* frontier);

#endif // QUINTFALL_PARTWRITING_FRONTIER_H
