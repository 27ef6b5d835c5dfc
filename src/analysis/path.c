// SPDX-License-Identifier: MIT
#include "path.h"
#include "weights.h"

#include <stdlib.h>
#include <string.h>

static int32_t
best_last_node(const QfLayer* const        layer,
               const QfPassage* const      passage,
               const QfSearchGivens* const givens)
{
  double  best = (double)QF_WEIGHT_NEVER;
  int32_t last = QF_NO_NODE;

  for (size_t n = 0; n < layer->n_nodes; ++n) {
    const QfNode* const node = &layer->nodes[n];
    const float         end  = qf_last_cost(passage, givens, node->key, node->entry);
    const double        cost = node->cost + qf_weight_grain(end);

    if (cost < best) {
      best = cost;
      last = (int32_t)n;
    }
  }
  return last;
}

QfStatus
qf_path_trace(const QfTrellis* const      trellis,
              const QfPassage* const      passage,
              const QfSearchGivens* const givens,
              QfPath* const               path)
{
  const QfLayer* const layers = trellis->layers;
  const int32_t        last   = best_last_node(&layers[passage->n_columns], passage, givens);
  size_t               n      = 0;
  size_t               end    = passage->n_columns;

  for (int32_t i = last; i != QF_NO_NODE; ++n) {
    const QfNode* const node = &layers[end].nodes[i];

    end -= node->length;
    i = node->back;
  }

  path->spans   = (QfSpan*)calloc(n ? n : 1, sizeof(QfSpan));
  path->n_spans = n;
  if (!path->spans) {
    return QF_ERR_NO_MEM;
  }

  end = passage->n_columns;
  for (int32_t i = last; i != QF_NO_NODE;) {
    const QfNode* const node = &layers[end].nodes[i];

    path->spans[--n] = (QfSpan){end - node->length, end, node->key, node->entry};
    end -= node->length;
    i = node->back;
  }
  return QF_OK;
}

void
qf_path_clear(QfPath* const path)
{
  free(path->spans);
  memset(path, 0, sizeof(*path));
}
