// SPDX-License-Identifier: MIT
#include "pin_links.h"

QfStatus
pin_links(QfLesson* const     lesson,
          State* const        state,
          const QfLink* const links,
          const size_t        n_links)
{
  // Refused before the labels in use are touched.
  if (state->n_pins + n_links > MAX_PINS) {
    return QF_ERR_RANGE;
  }

  const QfLabels* const labels = lesson_label_state(lesson, state);
  QfStatus              st     = labels ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = 0; !st && i < n_links; ++i) {
    const size_t         index = qf_labels_link_at(labels, links[i].start);
    const QfLabel* const label = index == SIZE_MAX ? NULL : qf_labels_get_link(labels, index);
    if (!label || !label->is_known || !qf_key_equals(label->key, links[i].key) ||
        !qf_numeral_equals(&label->numeral, &links[i].numeral)) {
      st = state_put_pin(state, (QfPin){links[i].start, links[i].key, links[i].numeral});
    }
  }
  return st;
}
