// SPDX-License-Identifier: MIT
#include "columns.h"
#include "key_costs.h"
#include "surroundings.h"
#include "texture.h"
#include "weights.h"

#include <stdlib.h>
#include <string.h>

void
qf_passage_set_home(QfPassage* const passage, const size_t home)
{
  const size_t n           = passage->n_columns;
  const bool   is_declared = home != QF_N_KEYS;
  const int    tonic       = qf_key_signs(home) + (home % 2 ? 3 : 0);
  const QfKey  sign        = qf_score_signature_at(passage->score, QF_TIME_ZERO);

  passage->signature  = is_declared ? qf_key_signs(home) : qf_key_fifths(sign);
  passage->first_bass = is_declared || !n ? tonic : passage->columns[0].bass;
  passage->final_bass = is_declared || !n ? tonic : passage->columns[n - 1].bass;
}

/// The same column before, or NULL
static const QfColumn*
twin_of(const QfPassage* const passage,
        const QfPassage* const before,
        const QfSameColumns    same,
        const size_t           column)
{
  const size_t n_ahead = passage->n_columns - column;

  if (column < same.n_first) {
    return &before->columns[column];
  }
  return n_ahead <= same.n_last ? &before->columns[before->n_columns - n_ahead] : NULL;
}

void
qf_passage_weigh_keys(QfPassage* const       passage,
                      const QfPassage* const before,
                      const QfSameColumns    same)
{
  double sums[QF_N_KEYS] = {0.0};

  for (size_t c = 0; c < passage->n_columns; ++c) {
    const QfColumn* const twin     = twin_of(passage, before, same, c);
    const bool            is_first = twin && twin == before->columns;

    for (size_t k = 0; k < QF_N_KEYS; ++k) {
      QfTally tally = {passage->weights, NULL, 0.0F};

      if (twin) {
        sums[k] += twin->places[k] - (is_first ? 0.0 : twin[-1].places[k]);
      } else {
        qf_tally_place(&tally, passage, c, k);
        sums[k] += qf_weight_grain(tally.cost);
      }
      passage->columns[c].places[k] = sums[k];
    }
  }
}

/// Find the metrical levels of all slices
static QfStatus
weigh_metre(QfPassage* const passage)
{
  const size_t n = passage->slices.n_slices;

  passage->levels = (uint8_t*)calloc(n + 1, sizeof(uint8_t));
  for (size_t s = 0; passage->levels && s < n; ++s) {
    passage->levels[s] =
      (uint8_t)qf_score_level_at(passage->score, passage->slices.slices[s].start);
  }
  return passage->levels ? QF_OK : QF_ERR_NO_MEM;
}

/**
   Let the learned weights count less.

   A short example in a declared key is an exercise: there the rules of the
   textbooks hold, which are the hand-set costs, and not what is usual in pieces.
*/
static QfStatus
weaken(QfPassage* const passage, const float plainness)
{
  passage->own_weights = (float*)malloc(QF_N_FEATURES * sizeof(float));
  if (!passage->own_weights) {
    return QF_ERR_NO_MEM;
  }

  for (size_t i = 0; i < QF_N_FEATURES; ++i) {
    passage->own_weights[i] = (1.0F - plainness) * passage->weights[i];
  }
  passage->weights = passage->own_weights;
  return QF_OK;
}

QfStatus
qf_passage_init(QfPassage* const     passage,
                const QfScore* const score,
                const float* const   weights,
                const bool           is_declared)
{
  memset(passage, 0, sizeof(*passage));
  passage->score   = score;
  passage->weights = weights;

  QfStatus st = qf_slices_of(score, &passage->slices);

  st = st ? st : weigh_metre(passage);
  if (!st) {
    st = qf_note_contexts_of(score, &passage->slices, passage->levels, &passage->contexts);
  }
  if (!st) {
    const float plainness = qf_plainness_of(passage);

    passage->texture = qf_texture_of(passage, plainness);
    st               = is_declared ? weaken(passage, plainness) : QF_OK;
  }
  if (!st) {
    const size_t n = passage->slices.n_slices;

    passage->columns = (QfColumn*)calloc(n ? n : 1, sizeof(QfColumn));
    st               = passage->columns ? QF_OK : QF_ERR_NO_MEM;
  }
  if (st) {
    qf_passage_clear(passage);
    return st;
  }

  qf_columns_fill(passage);
  qf_passage_look_around(passage);
  return QF_OK;
}

void
qf_passage_clear(QfPassage* const passage)
{
  qf_slices_clear(&passage->slices);
  free(passage->levels);
  free(passage->contexts);
  free(passage->columns);
  free(passage->own_weights);
  memset(passage, 0, sizeof(*passage));
}
