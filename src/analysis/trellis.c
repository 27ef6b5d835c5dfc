// SPDX-License-Identifier: MIT
#include "trellis.h"

#include <stdlib.h>
#include <string.h>

QfStatus
qf_trellis_init(QfTrellis* const trellis, const size_t n_layers)
{
  trellis->layers   = (QfLayer*)calloc(n_layers ? n_layers : 1, sizeof(QfLayer));
  trellis->n_layers = trellis->layers ? n_layers : 0;
  return trellis->layers ? QF_OK : QF_ERR_NO_MEM;
}

void
qf_trellis_clear(QfTrellis* const trellis)
{
  for (size_t i = 0; i < trellis->n_layers; ++i) {
    free(trellis->layers[i].nodes);
  }
  free(trellis->layers);
  memset(trellis, 0, sizeof(*trellis));
}

void
qf_layer_move(QfLayer* const to, QfLayer* const from)
{
  free(to->nodes);
  *to   = *from;
  *from = (QfLayer){NULL, 0, 0.0};
}

static bool
go_on_alike(const QfNode* const a, const QfNode* const b)
{
  return a->cost <= b->cost && a->cost >= b->cost && a->stay <= b->stay && a->stay >= b->stay &&
         a->key == b->key && a->before == b->before && a->entry == b->entry &&
         a->has_ended == b->has_ended;
}

bool
qf_layers_go_on_alike(const QfLayer* const a, const QfLayer* const b)
{
  bool is_alike = a->n_nodes == b->n_nodes;

  for (size_t i = 0; is_alike && i < a->n_nodes; ++i) {
    is_alike = go_on_alike(&a->nodes[i], &b->nodes[i]);
  }
  return is_alike;
}
