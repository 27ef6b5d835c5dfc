// SPDX-License-Identifier: MIT
#include "musicxml_raw.h"

#include <stdlib.h>

static int
compare_keys(const void* const left, const void* const right)
{
  const QfRawKey* const a = (const QfRawKey*)left;
  const QfRawKey* const b = (const QfRawKey*)right;
  if (a->start != b->start) {
    return a->start < b->start ? -1 : 1;
  }
  return (a->part > b->part) - (a->part < b->part);
}

/// `votes` holds the signature every part has so far, or NULL
static size_t
count_votes(const QfRawKey* const* const votes, const size_t n_parts, const int fifths)
{
  size_t count = 0U;
  for (size_t i = 0; i < n_parts; ++i) {
    count += votes[i] && qf_key_fifths(votes[i]->key) == fifths;
  }
  return count;
}

/**
   The key that most parts have, of equals that of the first part.

   One part in another key is an error of the file, or an instrument whose
   notation does without a signature.
*/
static const QfRawKey*
choose_key(const QfRawKey* const* const votes, const size_t n_parts, bool* const is_unanimous)
{
  const QfRawKey* best       = NULL;
  size_t          best_count = 0U;
  size_t          n_votes    = 0U;
  for (size_t i = 0; i < n_parts; ++i) {
    if (votes[i]) {
      const size_t count = count_votes(votes, n_parts, qf_key_fifths(votes[i]->key));
      best               = count > best_count ? votes[i] : best;
      best_count         = count > best_count ? count : best_count;
      ++n_votes;
    }
  }
  *is_unanimous = best_count == n_votes;
  return best;
}

/// The first part that has a signature so far
static size_t
first_voter(const QfRawKey* const* const votes, const size_t n_parts)
{
  size_t i = 0U;
  while (i < n_parts && !votes[i]) {
    ++i;
  }
  return i;
}

static QfStatus
set_keys(const QfRawScore* const raw,
         const QfRawKey** const  votes,
         QfScore* const          score,
         QfRemarks* const        remarks)
{
  QfStatus        st  = QF_OK;
  const QfRawKey* now = NULL;
  for (size_t i = 0; i < raw->n_keys && !st;) {
    const QfTicks start   = raw->keys[i].start;
    const int     measure = raw->measures[raw->keys[i].measure].number;
    size_t        changed = raw->n_parts; // the first part that states a key here
    for (; i < raw->n_keys && raw->keys[i].start == start; ++i) {
      const QfRawPart* const part = &raw->parts[raw->keys[i].part];
      if (part->has_pitch || !part->is_unpitched) {
        votes[raw->keys[i].part] = &raw->keys[i];
        changed                  = changed < raw->keys[i].part ? changed : raw->keys[i].part;
      }
    }

    bool                  is_unanimous = true;
    const QfRawKey* const key =
      choose_key((const QfRawKey* const*)votes, raw->n_parts, &is_unanimous);
    if (!is_unanimous) {
      qf_remarks_add(remarks, QF_REMARK_KEYS_DIFFER, measure);
    }
    const bool is_restated = changed == first_voter((const QfRawKey* const*)votes, raw->n_parts);
    if (key && (!now || is_restated || !qf_key_equals(now->key, key->key))) {
      st  = qf_score_set_signature(score, qf_time(start, QF_TICKS_PER_WHOLE), key->key);
      now = key;
    }
  }
  return st;
}

QfStatus
qf_raw_set_keys(QfRawScore* const raw, QfScore* const score, QfRemarks* const remarks)
{
  if (!raw->n_keys) {
    return QF_OK;
  }
  const QfRawKey** const votes = (const QfRawKey**)calloc(raw->n_parts, sizeof(*votes));
  if (!votes) {
    return QF_ERR_NO_MEM;
  }
  qsort(raw->keys, raw->n_keys, sizeof(*raw->keys), compare_keys);
  const QfStatus st = set_keys(raw, votes, score, remarks);
  free((void*)votes);
  return st;
}
