// SPDX-License-Identifier: MIT
#include "labels_impl.h"

/// True if a link can be a pivot at all; an applied chord is none. Rule: OMT, "Modulation".
static bool
may_be_pivot(const QfLabelling* const labelling, const QfLabels* const labels, const size_t index)
{
  const QfLabel* const label = &labels->labels[index];
  const QfRole         role  = qf_link_entry(labelling, &labels->links[index])->role;

  return label->is_known && label[1].is_known && !qf_key_equals(label->key, label[1].key) &&
         !labels->links[index + 1].is_after_rest && role != QF_ROLE_APPLIED &&
         role != QF_ROLE_CADENTIAL;
}

void
qf_links_find_pivots(const QfLabelling* const labelling, QfLabels* const labels)
{
  for (size_t i = 0; i + 1 < labels->n_links; ++i) {
    QfLabel* const label = &labels->labels[i];
    const QfSpan   next  = labels->links[i + 1].span;
    const size_t   entry =
      may_be_pivot(labelling, labels, i)
          ? qf_pivot_entry(&labelling->passage, &labelling->givens, labels->links[i].span, next)
          : QF_ENTRY_UNKNOWN;

    label->is_pivot = entry != QF_ENTRY_UNKNOWN;
    if (label->is_pivot) {
      label->pivot           = labelling->vocabularies[next.key % 2].entries[entry].numeral;
      label->pivot.inversion = label->numeral.inversion;
    }
  }
}
