// SPDX-License-Identifier: MIT
#include "costs.h"
#include "key_costs.h"
#include "weights.h"

/// Index of the key that an applied chord borrows from, or #QF_N_KEYS if it has too many signs
static size_t
target_key(const QfEntry* const entry, const size_t key)
{
  const bool is_minor = entry->numeral.targets[0].is_minor;
  const int  fifths   = qf_tonic_of(key) + entry->target - (is_minor ? 3 : 0);

  return fifths < -QF_KEY_SIGNS || fifths > QF_KEY_SIGNS
           ? QF_N_KEYS
           : (size_t)(2 * (fifths + QF_KEY_SIGNS) + (is_minor ? 1 : 0));
}

/// Add what a numeral's onset costs in its key, beyond the onset of any chord
static void
tally_arrival(QfTally* const              tally,
              const QfPassage* const      passage,
              const QfSearchGivens* const givens,
              const size_t                column,
              const size_t                key,
              const size_t                entry)
{
  const QfVocabulary* const vocabulary = qf_vocabulary_of(givens, key);
  const QfColumn* const     self       = &passage->columns[column];
  const bool                is_after   = column && !self->is_after_rest;
  const int                 before     = (is_after ? self[-1].bass : 0) - qf_tonic_of(key);
  const int                 now        = self->bass - qf_tonic_of(key);
  const size_t              from       = is_after ? (size_t)((before % 12 + 12) % 12) : 12U;
  const size_t              to         = (size_t)((now % 12 + 12) % 12);

  qf_tally_add(tally, QF_F_BASS_MOTION + ((key % 2) * 13U + from) * 12U + to, 1.0F);
  qf_tally_word_of(tally, QF_F_WORD_LEVEL, vocabulary, entry, 6, self->level);
  qf_tally_word_of(tally, QF_F_WORD_BEFORE, vocabulary, entry, 13, from);
  if (self->is_phrase_start) {
    qf_tally_word_of(tally, QF_F_PHRASE_START, vocabulary, entry, 1, 0);
  }
  if (vocabulary->entries[entry].role == QF_ROLE_APPLIED) {
    const size_t target = target_key(&vocabulary->entries[entry], key);

    if (target != QF_N_KEYS) {
      qf_tally_apply_key(tally, passage, column, key, target);
    }
  }
}

float
qf_onset_cost(const QfPassage* const      passage,
              const QfSearchGivens* const givens,
              const size_t                column,
              const size_t                key,
              const size_t                entry)
{
  QfTally tally = {passage->weights, NULL, 0.0F};

  tally_arrival(&tally, passage, givens, column, key, entry);
  return tally.cost + passage->columns[column].onset + qf_vocabulary_of(givens, key)->words[entry];
}

static void
tally_first(QfTally* const              tally,
            const QfPassage* const      passage,
            const QfSearchGivens* const givens,
            const size_t                key,
            const size_t                entry)
{
  const QfVocabulary* const vocabulary = qf_vocabulary_of(givens, key);

  tally->cost += qf_weight_first(&vocabulary->entries[entry]);
  qf_tally_word_of(tally, QF_F_FIRST, vocabulary, entry, 1, 0);
  qf_tally_first_key(tally, passage, key);
  if (givens->home == QF_N_KEYS) {
    tally->cost += qf_weight_signature(key, givens->signature);
  } else if (givens->home != key) {
    qf_tally_change(tally, passage, givens, givens->home, key);
  }
}

float
qf_first_cost(const QfPassage* const      passage,
              const QfSearchGivens* const givens,
              const size_t                key,
              const size_t                entry)
{
  QfTally tally = {passage->weights, NULL, 0.0F};

  tally_first(&tally, passage, givens, key, entry);
  return tally.cost;
}

static void
tally_last(QfTally* const              tally,
           const QfPassage* const      passage,
           const QfSearchGivens* const givens,
           const size_t                key,
           const size_t                entry)
{
  const QfVocabulary* const vocabulary = qf_vocabulary_of(givens, key);

  tally->cost += qf_weight_last(&vocabulary->entries[entry]) +
                 (qf_is_away(givens, key) ? QF_WEIGHT_AWAY_AT_END : 0.0F);
  qf_tally_word_of(tally, QF_F_LAST, vocabulary, entry, 1, 0);
  qf_tally_last_key(tally, passage, key);
}

float
qf_last_cost(const QfPassage* const      passage,
             const QfSearchGivens* const givens,
             const size_t                key,
             const size_t                entry)
{
  QfTally tally = {passage->weights, NULL, 0.0F};

  tally_last(&tally, passage, givens, key, entry);
  return tally.cost;
}

static void
tally_link(QfTally* const              tally,
           const QfPassage* const      passage,
           const QfSearchGivens* const givens,
           const QfSpan* const         from,
           const QfSpan                to)
{
  const QfVocabulary* const vocabulary = qf_vocabulary_of(givens, to.key);

  if (from && from->key == to.key && from->entry == to.entry) {
    return;
  }

  qf_tally_onset(tally, &passage->columns[to.first]);
  qf_tally_word(tally, vocabulary, to.entry);
  tally_arrival(tally, passage, givens, to.first, to.key, to.entry);
  if (!from) {
    tally_first(tally, passage, givens, to.key, to.entry);
  } else if (from->key == to.key) {
    qf_tally_step(tally, vocabulary, from->entry, to.entry);
  } else {
    qf_tally_change(tally, passage, givens, from->key, to.key);
    qf_tally_change_at(tally, passage, to.first, from->key, to.key);
    qf_tally_leave_key(tally, passage, to.first, from->key);
    qf_tally_enter_key(tally, passage, to.first, to.key);
    qf_tally_way_over(tally, passage, givens, *from, to);
    qf_tally_change_to(tally, passage, givens, to.key, to.entry);
  }
}

float
qf_link_cost(const QfPassage* const      passage,
             const QfSearchGivens* const givens,
             const QfSpan* const         from,
             const QfSpan                to)
{
  QfTally tally = {passage->weights, NULL, 0.0F};

  tally_link(&tally, passage, givens, from, to);
  return tally.cost;
}

void
qf_tally_path(QfTally* const              tally,
              const QfPassage* const      passage,
              const QfSearchGivens* const givens,
              const QfSpan* const         spans,
              const size_t                n_spans)
{
  QfStay stay = {0.0F, false, QF_N_KEYS, QF_N_KEYS};

  for (size_t i = 0; i < n_spans; ++i) {
    const QfSpan span = spans[i];

    if (i && span.key != stay.key) {
      qf_tally_stay(tally, passage, stay, span.key);
    }
    stay = qf_stay_on(passage, stay, span.first, span.end, span.key);
    tally_link(tally, passage, givens, i ? &spans[i - 1] : NULL, span);
    qf_tally_span(tally, passage, givens, span);
    for (size_t c = span.first; c < span.end; ++c) {
      qf_tally_place(tally, passage, c, span.key);
    }
  }
  if (n_spans) {
    qf_tally_last_stay(tally, passage, stay);
    tally_last(tally, passage, givens, spans[n_spans - 1].key, spans[n_spans - 1].entry);
  }
}
