// SPDX-License-Identifier: MIT
#include "costs.h"
#include "weights.h"

const QfVocabulary*
qf_vocabulary_of(const QfSearchGivens* const givens, const size_t key)
{
  return &givens->vocabularies[key % 2];
}

int
qf_tonic_of(const size_t key)
{
  return (int)(key / 2) - 7 + (key % 2 ? 3 : 0);
}

float
qf_place_cost(const QfPassage* const      passage,
              const QfSearchGivens* const givens,
              const size_t                first,
              const size_t                end,
              const size_t                key)
{
  const QfColumn* const from    = &passage->columns[first];
  const QfColumn* const to      = &passage->columns[end - 1];
  const float           outside = to->outside[key] - (first ? from[-1].outside[key] : 0.0F);
  const float           beats   = to->end_beats - (first ? from[-1].end_beats : 0.0F);
  const bool            is_away = givens->home != QF_N_KEYS && givens->home != key;

  return outside + (is_away ? QF_WEIGHT_AWAY_BEAT * beats : 0.0F);
}

float
qf_fit_cost(const QfEntry* const entry, const QfFit fit)
{
  return fit.foreign + qf_weight_missing(entry->kind, fit.present) +
         qf_weight_bass(entry, fit.bass);
}

float
qf_unknown_cost(const QfPassage* const passage, const size_t first, const size_t end)
{
  float    beats = 0.0F;
  uint64_t mask  = 0;

  for (size_t c = first; c < end; ++c) {
    beats += passage->columns[c].beats;
    mask |= passage->columns[c].mask;
  }
  if (__builtin_popcountll(mask) == 1) {
    return QF_WEIGHT_LONE + QF_WEIGHT_LONE_BEAT * beats;
  }
  return QF_WEIGHT_UNKNOWN * (float)(end - first) + QF_WEIGHT_UNKNOWN_BEAT * beats;
}

/// A pinned chord is never ruled out where it stands, but must earn its further columns
static float
pinned_cost(const QfPassage* const passage,
            const QfSpan           span,
            const QfEntry* const   entry,
            const int              root,
            const QfFit            fit)
{
  const QfFit head      = qf_fit_of(passage, span.first, span.first + 1, root, entry->kind);
  const float head_cost = qf_fit_cost(entry, head);
  const float most      = QF_WEIGHT_PINNED_MOST;

  return (head_cost < most ? head_cost : most) + fit.foreign - head.foreign;
}

float
qf_span_cost(const QfPassage* const passage, const QfSearchGivens* const givens, const QfSpan span)
{
  const QfEntry* const entry = &qf_vocabulary_of(givens, span.key)->entries[span.entry];
  const float          place = qf_place_cost(passage, givens, span.first, span.end, span.key);

  if (span.entry == QF_ENTRY_UNKNOWN) {
    return place + qf_unknown_cost(passage, span.first, span.end);
  }

  const int   root = qf_tonic_of(span.key) + entry->root;
  const QfFit fit  = qf_fit_of(passage, span.first, span.end, root, entry->kind);

  if (givens->pinned_keys[span.first] != QF_N_KEYS) {
    return place + pinned_cost(passage, span, entry, root, fit);
  }
  return place + qf_fit_cost(entry, fit);
}

static float
change_cost(const QfSearchGivens* const givens, const size_t from, const size_t to)
{
  return qf_weight_key_change(from, to, givens->home);
}

float
qf_first_cost(const QfSearchGivens* const givens, const size_t key, const size_t entry)
{
  const float word = qf_weight_first(&qf_vocabulary_of(givens, key)->entries[entry]);

  if (givens->home == QF_N_KEYS) {
    return word + qf_weight_signature(key, givens->signature);
  }
  return word + (givens->home == key ? 0.0F : change_cost(givens, givens->home, key));
}

float
qf_last_cost(const QfSearchGivens* const givens, const size_t key, const size_t entry)
{
  const bool is_away = givens->home != QF_N_KEYS && givens->home != key;

  return qf_weight_last(&qf_vocabulary_of(givens, key)->entries[entry]) +
         (is_away ? QF_WEIGHT_AWAY_AT_END : 0.0F);
}

float
qf_onset_cost(const QfPassage* const      passage,
              const QfSearchGivens* const givens,
              const size_t                column,
              const size_t                key,
              const size_t                entry)
{
  return passage->columns[column].onset + qf_vocabulary_of(givens, key)->entries[entry].prior;
}

/// Cheapest way to hear the chord before a change of key in the new key
static float
pivot_cost(const QfSearchGivens* const givens, const QfSpan from, const QfSpan to)
{
  const QfVocabulary* const vocabulary = qf_vocabulary_of(givens, to.key);
  const QfEntry* const      before     = &qf_vocabulary_of(givens, from.key)->entries[from.entry];
  const int                 root       = qf_tonic_of(from.key) + before->root - qf_tonic_of(to.key);
  float best = QF_WEIGHT_DIRECT_CHANGE + qf_weight_first(&vocabulary->entries[to.entry]);

  for (const uint16_t* p = qf_vocabulary_find(vocabulary, root, before->kind); *p; ++p) {
    const float cost =
      QF_WEIGHT_PIVOT * vocabulary->entries[*p].prior + vocabulary->steps[*p][to.entry];

    best = cost < best ? cost : best;
  }
  return best;
}

float
qf_link_cost(const QfPassage* const      passage,
             const QfSearchGivens* const givens,
             const QfSpan* const         from,
             const QfSpan                to)
{
  const float onset = qf_onset_cost(passage, givens, to.first, to.key, to.entry);

  if (!from) {
    return onset + qf_first_cost(givens, to.key, to.entry);
  }
  if (from->key == to.key) {
    return from->entry == to.entry
             ? 0.0F
             : onset + qf_vocabulary_of(givens, to.key)->steps[from->entry][to.entry];
  }
  return onset + change_cost(givens, from->key, to.key) + pivot_cost(givens, *from, to);
}
