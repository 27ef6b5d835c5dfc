// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_GATES_H
#define QUINTFALL_ANALYSIS_GATES_H

#include "costs.h"
#include "trellis.h"

enum {
  QF_MAX_SOURCES = 2 * QF_MAX_ENTRIES,
  QF_N_STATES    = QF_N_KEYS * QF_MAX_ENTRIES,
};

/// A place to come from at a boundary
typedef struct {
  double   cost;
  int32_t  node; ///< Index in the boundary's layer
  uint16_t entry;
  bool     is_pivot; ///< The node's chord, read anew in another key
} QfSource;

/// Where spans from a boundary into one key can come from
typedef struct {
  QfSource sources[QF_MAX_SOURCES];
  size_t   n_sources;
  double   least;  ///< Cheapest of the sources and the direct way
  double   direct; ///< Cheapest arrival by a direct change of key
  int32_t  direct_node;
} QfGate;

/// The cheapest way to a state
typedef struct {
  double   cost;
  int32_t  node;
  uint32_t stamp; ///< Boundary for which it holds, plus one
} QfArrival;

/// The ways from the nodes of one boundary into every key and numeral
typedef struct {
  const QfPassage*      passage;
  const QfSearchGivens* givens;
  bool                  is_change_open;
  size_t                boundary;
  const QfLayer*        layer;
  QfGate                gates[QF_N_KEYS];
  QfArrival             arrivals[QF_N_STATES];
  QfSource              pivots[QF_N_STATES];       ///< Where none is offered not a pivot
  uint16_t              pivot_states[QF_N_STATES]; ///< States with a pivot, to be cleared
  size_t                n_pivots;
  float                 changes[QF_N_KEYS][QF_N_KEYS];
  float                 over[QF_N_KEYS][QF_N_KEYS]; ///< The same at this boundary, from its keys
  float                 leave[QF_N_KEYS];           ///< Cost of leaving each key at this boundary
  float                 enter[QF_N_KEYS];
} QfGates;

/**
   Begin, before the first boundary.

   @param gates All zero, so that what a short search never needs is never touched.
   @param is_change_open Ways lead into other keys too.
*/
void
qf_gates_init(QfGates*              gates,
              const QfPassage*      passage,
              const QfSearchGivens* givens,
              bool                  is_change_open);

/// Gather the ways from the nodes of a boundary
void
qf_gates_open(QfGates* gates, size_t boundary, const QfLayer* layer);

/// True if a key can be reached from here at all
bool
qf_gates_has_key(const QfGates* gates, size_t key);

/// The cheapest way from here to a numeral (transfer none, until the next boundary)
const QfArrival*
qf_gates_arrive(QfGates* gates, size_t key, size_t entry);

#endif // QUINTFALL_ANALYSIS_GATES_H
