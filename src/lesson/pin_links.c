// SPDX-License-Identifier: MIT
#include "pin_links.h"

QfStatus
pin_links(State* const state, const QfLink* const links, const size_t n_links)
{
  QfLabels* labels = NULL;
  QfStatus  st     = qf_labels_new(state->score, state_label_options(state), &labels, NULL);
  for (size_t i = 0; !st && i < n_links; ++i) {
    const size_t         index = qf_labels_link_at(labels, links[i].start);
    const QfLabel* const label = index == SIZE_MAX ? NULL : qf_labels_get_link(labels, index);
    if (!label || !label->is_known || !qf_key_equals(label->key, links[i].key) ||
        !qf_numeral_equals(&label->numeral, &links[i].numeral)) {
      st = state_put_pin(state, (QfPin){links[i].start, links[i].key, links[i].numeral});
    }
  }
  qf_labels_free(labels);
  return st;
}
