// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_TRELLIS_H
#define QUINTFALL_ANALYSIS_TRELLIS_H

#include "columns.h"

enum {
  QF_NO_NODE     = -1,
  QF_MAX_COLUMNS = 12, ///< Columns of a span; longer chords are continued
};

/**
   The best way to end a span at a boundary with a numeral of a key.

   It names no column, so that it holds wherever the same columns stand.
*/
typedef struct {
  double   cost; ///< Of the whole way here, above the layer's least once it is settled
  float    stay; ///< Beats since its key was entered, as in #QfStay
  uint16_t key;
  uint16_t before; ///< Key before this one, or #QF_N_KEYS
  uint16_t entry;
  uint8_t  has_ended; ///< A phrase has ended since
  uint8_t  length;    ///< Columns of the span
  int32_t  back;      ///< Node of the layer where the span begins, or #QF_NO_NODE
} QfNode;

/// The nodes of a boundary that are good enough to go on from
typedef struct {
  QfNode* nodes; ///< Owned
  size_t  n_nodes;
  double  least; ///< Cost of the best
} QfLayer;

/// What a search found at every boundary, kept to begin another one from
typedef struct {
  QfLayer* layers; ///< Owned; one more than there are columns
  size_t   n_layers;
} QfTrellis;

/// An empty layer for every boundary
QfStatus
qf_trellis_init(QfTrellis* trellis, size_t n_layers);

void
qf_trellis_clear(QfTrellis* trellis);

/// Move a layer, and leave an empty one behind
void
qf_layer_move(QfLayer* to, QfLayer* from);

/// True if all that comes after two layers costs the same, apart from what they cost themselves
bool
qf_layers_go_on_alike(const QfLayer* a, const QfLayer* b);

#endif // QUINTFALL_ANALYSIS_TRELLIS_H
