// SPDX-License-Identifier: MIT
#include "fit.h"
#include "weights.h"

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
}

static void
extend_trial(QfTrial* const trial, const QfColumn* const column, const bool is_first)
{
  const uint64_t outside = column->mask & ~trial->mask;

  for (size_t i = 0; outside && i < column->n_notes; ++i) {
    if (column->notes[i].bit & outside) {
      trial->fit.foreign += is_first ? column->notes[i].cost_first : column->notes[i].cost_inside;
    }
  }

  for (unsigned m = 0; m < trial->size; ++m) {
    if (column->mask & trial->members[m]) {
      trial->fit.present |= 1U << m;
    } else if (is_first || column->block > 0.0F) {
      trial->fit.foreign += qf_weight_absent((int)m, is_first, column->block);
    }
  }
}

QfFit
qf_fit_of(const QfPassage* const passage,
          const size_t           first,
          const size_t           end,
          const int              root,
          const QfChordKind      kind)
{
  QfTrial trial;

  start_trial(&trial, root, kind, passage->columns[first].bass);
  for (size_t c = first; c < end; ++c) {
    extend_trial(&trial, &passage->columns[c], c == first);
  }
  return trial.fit;
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
qf_trials_extend(QfTrials* const trials, const QfColumn* const column, const bool is_first)
{
  float  best = QF_WEIGHT_NEVER;
  size_t n    = 0;

  for (size_t i = 0; i < trials->n_trials; ++i) {
    extend_trial(&trials->trials[i], column, is_first);
    best = trials->trials[i].fit.foreign < best ? trials->trials[i].fit.foreign : best;
  }

  // What members are still missing may come, what is foreign stays so.
  for (size_t i = 0; i < trials->n_trials; ++i) {
    QfTrial* const trial = &trials->trials[i];

    if (trial->fit.foreign <= best + QF_WEIGHT_DROP_BEAM) {
      trial->cost = trial->fit.foreign + qf_weight_missing(trial->kind, trial->fit.present);
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
