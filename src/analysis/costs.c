// SPDX-License-Identifier: MIT
#include "costs.h"
#include "weights.h"

static bool
is_away(const QfSearchGivens* const givens, const size_t key)
{
  return givens->home != QF_N_KEYS && givens->home != key;
}

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

  return (float)place + (is_away(givens, key) ? QF_WEIGHT_AWAY_BEAT * beats : 0.0F);
}

/// Index of a numeral in the blocks that have one feature for each, or SIZE_MAX
static size_t
word_index(const QfVocabulary* const vocabulary, const size_t entry)
{
  const size_t word = vocabulary->entries[entry].word;

  return word < QF_N_WORDS ? vocabulary->mode * (size_t)QF_N_WORDS + word : SIZE_MAX;
}

/// Add a word's feature of a block with `width` features a word
static void
tally_word_of(QfTally* const            tally,
              const size_t              block,
              const QfVocabulary* const vocabulary,
              const size_t              entry,
              const size_t              width,
              const size_t              offset)
{
  const size_t index = word_index(vocabulary, entry);

  if (index != SIZE_MAX) {
    qf_tally_add(tally, block + index * width + offset, 1.0F);
  }
}

static void
tally_textured(QfTally* const         tally,
               const size_t           block,
               const size_t           size,
               const size_t           index,
               const QfPassage* const passage)
{
  qf_tally_add(tally, block + index, 1.0F - passage->texture);
  qf_tally_add(tally, block + size + index, passage->texture);
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
  tally_word_of(tally, QF_F_BASS, vocabulary, span.entry, 6, (size_t)(fit.bass + 1));
  qf_tally_add(tally, QF_F_LEADING + role * 3U + fit.leading, 1.0F);
  qf_tally_add(tally, QF_F_SEVENTH + role * 3U + fit.seventh, 1.0F);
  if (phrase_ends_in(passage, span.first, span.end)) {
    tally_word_of(tally, QF_F_PHRASE_END, vocabulary, span.entry, 2, fit.bass == 0 ? 0 : 1);
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

static void
tally_span(QfTally* const              tally,
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

  tally_span(&tally, passage, givens, span);
  return tally.cost + qf_place_cost(passage, givens, span.first, span.end, span.key);
}

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
  tally_word_of(tally, QF_F_WORD_LEVEL, vocabulary, entry, 6, self->level);
  tally_word_of(tally, QF_F_WORD_BEFORE, vocabulary, entry, 13, from);
  if (self->is_phrase_start) {
    tally_word_of(tally, QF_F_PHRASE_START, vocabulary, entry, 1, 0);
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
  tally_word_of(tally, QF_F_FIRST, vocabulary, entry, 1, 0);
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
                 (is_away(givens, key) ? QF_WEIGHT_AWAY_AT_END : 0.0F);
  tally_word_of(tally, QF_F_LAST, vocabulary, entry, 1, 0);
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
  tally_textured(tally, QF_F_CHANGE, 52, (from % 2 * 2 + to % 2) * 13U + fifths, passage);
  qf_tally_change_keys(tally, passage, from, to);
}

void
qf_tally_change_to(QfTally* const              tally,
                   const QfPassage* const      passage,
                   const QfSearchGivens* const givens,
                   const size_t                key,
                   const size_t                entry)
{
  const size_t index = word_index(qf_vocabulary_of(givens, key), entry);

  if (index != SIZE_MAX) {
    tally_textured(tally, QF_F_CHANGE_TO, 2 * QF_N_WORDS, index, passage);
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
  tally_word_of(tally, QF_F_PIVOT_OLD, qf_vocabulary_of(givens, old_key), old_entry, 1, 0);
  tally_word_of(tally, QF_F_PIVOT_NEW, now, new_entry, 1, 0);
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
  tally_textured(tally, QF_F_DIRECT, 120, (new_key % 2 * 12U + root) * 5U + quality_class(entry),
                 passage);
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

/// Add the cheapest way to hear the chord before a change of key in the new key, and go on
static void
tally_way_over(QfTally* const              tally,
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
    tally_way_over(tally, passage, givens, *from, to);
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
    tally_span(tally, passage, givens, span);
    for (size_t c = span.first; c < span.end; ++c) {
      qf_tally_place(tally, passage, c, span.key);
    }
  }
  if (n_spans) {
    qf_tally_last_stay(tally, passage, stay);
    tally_last(tally, passage, givens, spans[n_spans - 1].key, spans[n_spans - 1].entry);
  }
}
