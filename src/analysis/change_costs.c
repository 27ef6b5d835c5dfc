// SPDX-License-Identifier: MIT
#include "costs.h"
#include "key_costs.h"
#include "weights.h"

void
qf_tally_change(QfTally* const              tally,
                const QfPassage* const      passage,
                const QfSearchGivens* const givens,
                const size_t                from,
                const size_t                to)
{
  const int    up     = qf_tonic_of(to) - qf_tonic_of(from);
  const size_t fifths = (size_t)(up < -6 ? 0 : (up > 6 ? 12 : up + 6));

  tally->cost += qf_weight_key_change(from, to, givens->home);
  qf_tally_textured(tally, QF_F_CHANGE, 52, (from % 2 * 2 + to % 2) * 13U + fifths,
                    passage->texture, 1.0F);
  qf_tally_change_keys(tally, passage, from, to);
}

void
qf_tally_change_to(QfTally* const              tally,
                   const QfPassage* const      passage,
                   const QfSearchGivens* const givens,
                   const size_t                key,
                   const size_t                entry)
{
  const size_t index = qf_word_index(qf_vocabulary_of(givens, key), entry);

  if (index != SIZE_MAX) {
    qf_tally_textured(tally, QF_F_CHANGE_TO, 2 * QF_N_WORDS, index, passage->texture, 1.0F);
  }
}

void
qf_tally_pivot(QfTally* const              tally,
               const QfSearchGivens* const givens,
               const size_t                old_key,
               const size_t                old_entry,
               const size_t                new_key,
               const size_t                new_entry)
{
  const QfVocabulary* const now = qf_vocabulary_of(givens, new_key);

  tally->cost += QF_WEIGHT_PIVOT * now->entries[new_entry].prior;
  qf_tally_word_of(tally, QF_F_PIVOT_OLD, qf_vocabulary_of(givens, old_key), old_entry, 1, 0);
  qf_tally_word_of(tally, QF_F_PIVOT_NEW, now, new_entry, 1, 0);
}

/// What a quality says about the way out of a key
static size_t
quality_class(const QfEntry* const entry)
{
  switch (entry->kind) {
    case QF_CHORD_MAJOR:
      return 0;
    case QF_CHORD_MINOR:
      return 1;
    case QF_CHORD_DOM7:
      return 2;
    case QF_CHORD_DIMINISHED:
    case QF_CHORD_HALF_DIM7:
    case QF_CHORD_DIM7:
      return 3;
    default:
      return 4;
  }
}

void
qf_tally_direct(QfTally* const              tally,
                const QfPassage* const      passage,
                const QfSearchGivens* const givens,
                const size_t                old_key,
                const size_t                old_entry,
                const size_t                new_key)
{
  const QfEntry* const entry = &qf_vocabulary_of(givens, old_key)->entries[old_entry];
  const int            up    = qf_tonic_of(old_key) + entry->root - qf_tonic_of(new_key);
  const size_t         root  = (size_t)((up % 12 + 12) % 12);

  tally->cost += QF_WEIGHT_DIRECT_CHANGE;
  qf_tally_textured(tally, QF_F_DIRECT, 120, (new_key % 2 * 12U + root) * 5U + quality_class(entry),
                    passage->texture, 1.0F);
}

size_t
qf_pivot_entry(const QfPassage* const      passage,
               const QfSearchGivens* const givens,
               const QfSpan                from,
               const QfSpan                to)
{
  const QfVocabulary* const vocabulary = qf_vocabulary_of(givens, to.key);
  const QfEntry* const      before     = &qf_vocabulary_of(givens, from.key)->entries[from.entry];
  const int                 root       = qf_tonic_of(from.key) + before->root - qf_tonic_of(to.key);
  float                     least      = QF_WEIGHT_NEVER;
  size_t                    best       = QF_ENTRY_UNKNOWN;

  for (const uint16_t* p = qf_vocabulary_find(vocabulary, root, before->kind); *p; ++p) {
    const QfRole role  = vocabulary->entries[*p].role;
    QfTally      pivot = {passage->weights, NULL, vocabulary->steps[*p][to.entry]};

    qf_tally_pivot(&pivot, givens, from.key, from.entry, to.key, *p);
    if (pivot.cost < least && role != QF_ROLE_APPLIED && role != QF_ROLE_CADENTIAL) {
      least = pivot.cost;
      best  = *p;
    }
  }
  return best;
}

void
qf_tally_way_over(QfTally* const              tally,
                  const QfPassage* const      passage,
                  const QfSearchGivens* const givens,
                  const QfSpan                from,
                  const QfSpan                to)
{
  const QfVocabulary* const vocabulary = qf_vocabulary_of(givens, to.key);
  const QfEntry* const      before     = &qf_vocabulary_of(givens, from.key)->entries[from.entry];
  const int                 root       = qf_tonic_of(from.key) + before->root - qf_tonic_of(to.key);
  QfTally                   direct     = {tally->weights, NULL, 0.0F};
  size_t                    best       = QF_ENTRY_UNKNOWN;

  qf_tally_direct(&direct, passage, givens, from.key, from.entry, to.key);
  direct.cost += qf_weight_first(&vocabulary->entries[to.entry]);

  float least = direct.cost;

  for (const uint16_t* p = qf_vocabulary_find(vocabulary, root, before->kind); *p; ++p) {
    QfTally pivot = {tally->weights, NULL, 0.0F};

    qf_tally_pivot(&pivot, givens, from.key, from.entry, to.key, *p);
    pivot.cost += vocabulary->steps[*p][to.entry];
    if (pivot.cost < least) {
      least = pivot.cost;
      best  = *p;
    }
  }

  if (best == QF_ENTRY_UNKNOWN) {
    qf_tally_direct(tally, passage, givens, from.key, from.entry, to.key);
    tally->cost += qf_weight_first(&vocabulary->entries[to.entry]);
    return;
  }
  qf_tally_pivot(tally, givens, from.key, from.entry, to.key, best);
  qf_tally_step(tally, vocabulary, best, to.entry);
}
