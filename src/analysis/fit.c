// SPDX-License-Identifier: MIT
#include "fit.h"
#include "weights.h"

_Static_assert(QF_CHORD_N_KINDS == 26, "learned.h has a feature for each quality");

/// Member that is a leading tone if the chord is a dominant, or -1
static int
leading_member(const QfChordKind kind)
{
  switch (kind) {
    case QF_CHORD_MAJOR:
    case QF_CHORD_DOM7:
    case QF_CHORD_DOM9:
    case QF_CHORD_DOM_MINOR9:
    case QF_CHORD_AUGMENTED:
      return 1;
    case QF_CHORD_DIMINISHED:
    case QF_CHORD_HALF_DIM7:
    case QF_CHORD_DIM7:
      return 0;
    default:
      return -1;
  }
}

/// What the missing members rule out or make fit less well: triads, sevenths, augmented sixths
static size_t
quality_class(const QfChordKind kind)
{
  if (kind >= QF_CHORD_ITALIAN) {
    return 4;
  }
  switch (kind) {
    case QF_CHORD_MAJOR:
      return 0;
    case QF_CHORD_MINOR:
      return 1;
    case QF_CHORD_DIMINISHED:
    case QF_CHORD_HALF_DIM7:
    case QF_CHORD_DIM7:
      return 2;
    default:
      return 3;
  }
}

static void
start_trial(QfTrial* const trial, const int root, const QfChordKind kind, const int bass)
{
  *trial = (QfTrial){
    .root = root, .kind = kind, .size = (unsigned)qf_chord_kind_size(kind), .fit.bass = -1};

  for (unsigned m = 0; m < trial->size; ++m) {
    const int fifths = root + qf_member_fifths(kind, (int)m);

    trial->members[m] = qf_note_bit(fifths);
    trial->mask |= trial->members[m];
    if (fifths == bass) {
      trial->fit.bass = (int)m;
    }
  }

  const int leading = leading_member(kind);

  trial->leading = leading < 0 ? 0U : trial->members[leading];
  trial->seventh = trial->size > 3 ? trial->members[3] : 0U;
}

/// Follow a note that should go on by step: 0 not yet heard, 1 it went, 2 it did not
static uint8_t
followed(const uint8_t before, const uint64_t note, const uint64_t sounding, const uint64_t going)
{
  if (!(note & sounding)) {
    return before;
  }
  return before == 1 || (note & going) ? 1 : 2;
}

/// Add all notes of one name as foreign, one by one where the features are counted
static void
tally_name(QfTally* const         tally,
           const QfPassage* const passage,
           const size_t           column,
           const size_t           name,
           const bool             is_first)
{
  const QfColumn* const     self = &passage->columns[column];
  const QfColumnNote* const note = &self->notes[name];

  if (!tally->counts) {
    tally->cost += is_first ? note->cost_first : note->cost_inside;
    return;
  }

  const QfSlice* const slice = &passage->slices.slices[self->slice];

  for (size_t i = 0; i < slice->n_notes; ++i) {
    if (qf_note_name_fifths(qf_pitch_name(slice->notes[i].pitch)) == note->fifths) {
      qf_tally_foreign(tally, passage, column, i, is_first);
    }
  }
}

static void
tally_outside(QfTally* const         tally,
              const QfTrial* const   trial,
              const QfPassage* const passage,
              const size_t           column,
              const bool             is_first)
{
  const QfColumn* const self    = &passage->columns[column];
  const uint64_t        outside = self->mask & ~trial->mask;
  const size_t          quality = quality_class(trial->kind);

  for (size_t i = 0; outside && i < self->n_notes; ++i) {
    const QfColumnNote* const note = &self->notes[i];

    if (!(note->bit & outside)) {
      continue;
    }
    tally_name(tally, passage, column, i, is_first);
    if (is_first || note->is_struck) {
      const int    fifths = note->fifths - trial->root;
      const size_t degree = (size_t)(fifths < -6 ? 0 : (fifths > 6 ? 12 : fifths + 6));

      qf_tally_add(tally, QF_F_FOREIGN_DEGREE + (quality * 13U + degree) * 6U + note->manner, 1.0F);
    }
  }
}

static void
extend_trial(QfTrial* const         trial,
             QfTally* const         tally,
             const QfPassage* const passage,
             const size_t           index,
             const bool             is_first)
{
  const QfColumn* const column = &passage->columns[index];

  tally_outside(tally, trial, passage, index, is_first);
  for (unsigned m = 0; m < trial->size; ++m) {
    if (column->mask & trial->members[m]) {
      trial->fit.present |= 1U << m;
    } else if (is_first || column->block > 0.0F) {
      tally->cost += qf_weight_absent((int)m, is_first, column->block);
      if (is_first) {
        qf_tally_add(tally, QF_F_ABSENT + trial->kind * 5U + m, 1.0F);
      }
    }
  }
  qf_tally_add(tally, QF_F_QUALITY_BEAT + trial->kind, column->beats);
  trial->fit.leading = followed(trial->fit.leading, trial->leading, column->mask, column->rising);
  trial->fit.seventh = followed(trial->fit.seventh, trial->seventh, column->mask, column->falling);
}

static void
tally_missing(QfTally* const tally, const QfTrial* const trial)
{
  tally->cost += qf_weight_missing(trial->kind, trial->fit.present);
  for (unsigned m = 1; m < trial->size; ++m) {
    if (!(trial->fit.present & (1U << m))) {
      qf_tally_add(tally, QF_F_MISSING + trial->kind * 5U + m, 1.0F);
    }
  }
}

QfFit
qf_tally_fit(QfTally* const         tally,
             const QfPassage* const passage,
             const size_t           first,
             const size_t           end,
             const int              root,
             const QfChordKind      kind)
{
  const float before = tally->cost;
  QfTrial     trial;

  start_trial(&trial, root, kind, passage->columns[first].bass);
  for (size_t c = first; c < end; ++c) {
    extend_trial(&trial, tally, passage, c, c == first);
  }
  trial.fit.foreign = tally->cost - before;
  tally_missing(tally, &trial);
  return trial.fit;
}

QfFit
qf_fit_of(const QfPassage* const passage,
          const size_t           first,
          const size_t           end,
          const int              root,
          const QfChordKind      kind)
{
  QfTally tally = {passage->weights, NULL, 0.0F};

  return qf_tally_fit(&tally, passage, first, end, root, kind);
}

void
qf_trials_start(QfTrials* const           trials,
                const QfPassage* const    passage,
                const QfVocabulary* const vocabularies,
                const size_t              first,
                const size_t              limit)
{
  uint64_t roots = 0;

  trials->n_trials = 0;
  for (size_t c = first; c < limit; ++c) {
    roots |= passage->columns[c].mask;
  }

  for (int bit = 0; bit < 64; ++bit) {
    for (int k = 0; (roots >> (unsigned)bit & 1U) && k < QF_CHORD_N_KINDS; ++k) {
      const bool is_used = vocabularies[0].has_kind[k] || vocabularies[1].has_kind[k];

      if (is_used && trials->n_trials < QF_MAX_TRIALS) {
        start_trial(&trials->trials[trials->n_trials++], bit + QF_FIFTHS_OF_LOWEST, (QfChordKind)k,
                    passage->columns[first].bass);
      }
    }
  }
}

void
qf_trials_extend(QfTrials* const        trials,
                 const QfPassage* const passage,
                 const size_t           column,
                 const bool             is_first)
{
  float  best = QF_WEIGHT_NEVER;
  size_t n    = 0;

  for (size_t i = 0; i < trials->n_trials; ++i) {
    QfTrial* const trial = &trials->trials[i];
    QfTally        tally = {passage->weights, NULL, trial->fit.foreign};

    extend_trial(trial, &tally, passage, column, is_first);
    trial->fit.foreign = tally.cost;
    best               = tally.cost < best ? tally.cost : best;
  }

  // What members are still missing may come, what is foreign stays so.
  for (size_t i = 0; i < trials->n_trials; ++i) {
    QfTrial* const trial = &trials->trials[i];

    if (trial->fit.foreign <= best + QF_WEIGHT_DROP_BEAM) {
      QfTally tally = {passage->weights, NULL, trial->fit.foreign};

      tally_missing(&tally, trial);
      trial->cost = tally.cost;
      if (n != i) {
        trials->trials[n] = *trial;
      }
      ++n;
    }
  }
  trials->n_trials = n;
}

size_t
qf_trials_best(const QfTrials* const trials, size_t* const best, const size_t max)
{
  float  least = QF_WEIGHT_NEVER;
  size_t n     = 0;

  for (size_t i = 0; i < trials->n_trials; ++i) {
    least = trials->trials[i].cost < least ? trials->trials[i].cost : least;
  }

  for (size_t i = 0; i < trials->n_trials; ++i) {
    const float cost  = trials->trials[i].cost;
    size_t      worst = 0;

    if (cost >= QF_WEIGHT_NEVER || cost > least + QF_WEIGHT_SPAN_BEAM) {
      continue;
    }
    if (n < max) {
      best[n++] = i;
      continue;
    }
    for (size_t j = 1; j < n; ++j) {
      worst = trials->trials[best[j]].cost > trials->trials[best[worst]].cost ? j : worst;
    }
    if (cost < trials->trials[best[worst]].cost) {
      best[worst] = i;
    }
  }
  return n;
}
