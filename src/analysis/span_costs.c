// SPDX-License-Identifier: MIT
#include "costs.h"
#include "key_costs.h"
#include "weights.h"

float
qf_place_cost(const QfPassage* const      passage,
              const QfSearchGivens* const givens,
              const size_t                first,
              const size_t                end,
              const size_t                key)
{
  const QfColumn* const from  = &passage->columns[first];
  const QfColumn* const to    = &passage->columns[end - 1];
  const double          place = to->places[key] - (first ? from[-1].places[key] : 0.0);
  const float           beats = (float)(to->end_beats - (first ? from[-1].end_beats : 0.0));

  return (float)place + (qf_is_away(givens, key) ? QF_WEIGHT_AWAY_BEAT * beats : 0.0F);
}

static uint32_t
phrase_ends_in(const QfPassage* const passage, const size_t first, const size_t end)
{
  return passage->columns[end - 1].n_phrase_ends -
         (first ? passage->columns[first - 1].n_phrase_ends : 0U);
}

void
qf_tally_entry(QfTally* const              tally,
               const QfPassage* const      passage,
               const QfSearchGivens* const givens,
               const QfSpan                span,
               const QfFit                 fit)
{
  const QfVocabulary* const vocabulary = qf_vocabulary_of(givens, span.key);
  const QfEntry* const      entry      = &vocabulary->entries[span.entry];
  const size_t              role       = (size_t)entry->role;

  tally->cost += qf_weight_bass(entry, fit.bass);
  qf_tally_word_of(tally, QF_F_BASS, vocabulary, span.entry, 6, (size_t)(fit.bass + 1));
  qf_tally_add(tally, QF_F_LEADING + role * 3U + fit.leading, 1.0F);
  qf_tally_add(tally, QF_F_SEVENTH + role * 3U + fit.seventh, 1.0F);
  if (phrase_ends_in(passage, span.first, span.end)) {
    qf_tally_word_of(tally, QF_F_PHRASE_END, vocabulary, span.entry, 2, fit.bass == 0 ? 0 : 1);
  }
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
  QfTally     tally = {passage->weights, NULL, 0.0F};
  const QfFit head  = qf_tally_fit(&tally, passage, span.first, span.first + 1, root, entry->kind);
  const float most  = QF_WEIGHT_PINNED_MOST;

  tally.cost += qf_weight_bass(entry, head.bass);
  return (tally.cost < most ? tally.cost : most) + fit.foreign - head.foreign;
}

void
qf_tally_span(QfTally* const              tally,
              const QfPassage* const      passage,
              const QfSearchGivens* const givens,
              const QfSpan                span)
{
  const QfEntry* const entry = &qf_vocabulary_of(givens, span.key)->entries[span.entry];
  const int            root  = qf_tonic_of(span.key) + entry->root;

  if (span.entry == QF_ENTRY_UNKNOWN) {
    tally->cost += qf_unknown_cost(passage, span.first, span.end);
    return;
  }
  if (givens->pinned_keys[span.first] != QF_N_KEYS) {
    const QfFit fit = qf_fit_of(passage, span.first, span.end, root, entry->kind);

    tally->cost += pinned_cost(passage, span, entry, root, fit);
    return;
  }

  const QfFit fit = qf_tally_fit(tally, passage, span.first, span.end, root, entry->kind);

  qf_tally_entry(tally, passage, givens, span, fit);
}

float
qf_span_cost(const QfPassage* const passage, const QfSearchGivens* const givens, const QfSpan span)
{
  QfTally tally = {passage->weights, NULL, 0.0F};

  qf_tally_span(&tally, passage, givens, span);
  return tally.cost + qf_place_cost(passage, givens, span.first, span.end, span.key);
}
