// SPDX-License-Identifier: MIT
#include "score_impl.h"

#include <assert.h>
#include <string.h>

/// Index of the first signature after `time`
static size_t
signature_after(const QfScore* const score, const QfTime time)
{
  size_t low  = 0;
  size_t high = score->n_signatures;
  while (low < high) {
    const size_t middle = low + (high - low) / 2U;
    if (qf_time_compare(score->signatures[middle].start, time) <= 0) {
      low = middle + 1U;
    } else {
      high = middle;
    }
  }
  return low;
}

QfStatus
qf_score_set_signature(QfScore* const score, const QfTime start, const QfKey key)
{
  if (!qf_score_can_hold(start)) {
    return QF_ERR_RANGE;
  }

  const size_t after = signature_after(score, start);
  if (after > 0 && !qf_time_compare(score->signatures[after - 1U].start, start)) {
    score->signatures[after - 1U].key = key;
    return QF_OK;
  }

  QfSignature* const grown = (QfSignature*)qf_array_grow(
    score->signatures, &score->signatures_capacity, score->n_signatures + 1U, sizeof(QfSignature));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }

  QfSignature* const place = &grown[after];
  score->signatures        = grown;
  memmove(place + 1, place, (score->n_signatures - after) * sizeof(QfSignature));
  *place = (QfSignature){start, key};
  ++score->n_signatures;
  return QF_OK;
}

size_t
qf_score_n_signatures(const QfScore* const score)
{
  return score->n_signatures;
}

const QfSignature*
qf_score_get_signature(const QfScore* const score, const size_t index)
{
  assert(index < score->n_signatures);
  return &score->signatures[index];
}

QfKey
qf_score_signature_at(const QfScore* const score, const QfTime time)
{
  const size_t after = signature_after(score, time);
  return after > 0 ? score->signatures[after - 1U].key : (QfKey){{0, 0}, QF_MAJOR};
}
