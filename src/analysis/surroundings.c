// SPDX-License-Identifier: MIT
#include "surroundings.h"
#include "weights.h"

uint64_t
qf_scale_mask(const size_t key)
{
  const int lowest = qf_key_signs(key) - 1;
  uint64_t  mask   = 0;

  for (int i = 0; i < 7; ++i) {
    mask |= qf_note_bit(lowest + i);
  }
  if (key % 2) {
    const int tonic = lowest + 4;

    mask |= qf_note_bit(tonic + 3) | qf_note_bit(tonic + 5);
  }
  return mask;
}

uint8_t
qf_time_index(const double beats)
{
  static const double limits[] = {0.01, 1.1, 2.1, 4.1, 8.1};
  uint8_t             i        = 0;

  while (i < sizeof(limits) / sizeof(limits[0]) && beats > limits[i]) {
    ++i;
  }
  return i;
}

/// Mark where phrases end and begin, and count beats and ends
static void
mark_phrases(QfPassage* const passage)
{
  const QfScore* const score     = passage->score;
  double               end_beats = 0.0;
  uint32_t             n_ends    = 0;
  size_t               f         = 0;
  QfTime               end       = QF_TIME_ZERO;
  bool                 is_under  = false;

  for (size_t c = 0; c < passage->n_columns; ++c) {
    QfColumn* const      column = &passage->columns[c];
    const QfSlice* const slice  = &passage->slices.slices[column->slice];

    if (is_under && qf_time_compare(slice->start, end) >= 0) {
      column->is_phrase_start = true;
      is_under                = false;
    }
    while (f < qf_score_n_fermatas(score) &&
           qf_time_compare(qf_score_get_fermata(score, f), slice->start) <= 0) {
      const QfSounding* const top = &slice->notes[qf_top_note(slice)];

      end      = qf_time_add(top->start, top->duration);
      is_under = true;
      ++f;
    }
    column->is_phrase_end = is_under && qf_time_compare(slice->end, end) >= 0;
    n_ends += column->is_phrase_end;
    end_beats += qf_weight_grain(column->beats);
    column->n_phrase_ends = n_ends;
    column->end_beats     = end_beats;
  }
}

/// Mark how far each key is from a note outside it, ahead and behind
static void
mark_outside(QfPassage* const passage)
{
  const size_t n = passage->n_columns;

  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    const uint64_t scale = qf_scale_mask(k);
    double         beats = 100.0;

    for (size_t c = 0; c < n; ++c) {
      QfColumn* const column = &passage->columns[c];

      column->behind[k] = qf_time_index(beats);
      beats             = column->mask & ~scale ? 0.0 : beats;
      beats += (double)column->beats;
    }

    beats = 100.0;
    for (size_t c = n; c-- > 0;) {
      QfColumn* const column = &passage->columns[c];

      beats            = column->mask & ~scale ? 0.0 : beats + (double)column->beats;
      column->ahead[k] = qf_time_index(beats);
    }
  }
}

/// Mark where each phrase goes to
static void
mark_goals(QfPassage* const passage)
{
  double beats = 0.0;
  int8_t goal  = 0;

  for (size_t c = passage->n_columns; c-- > 0;) {
    QfColumn* const column  = &passage->columns[c];
    const bool      is_last = c + 1 == passage->n_columns;

    if (is_last || column->is_phrase_end) {
      beats = 0.0;
      goal  = column->bass;
    }
    beats += (double)column->beats;
    column->goal = goal;
    column->rest = qf_time_index(beats);
  }

  int8_t past = passage->n_columns ? passage->columns[0].bass : 0;

  for (size_t c = 0; c < passage->n_columns; ++c) {
    QfColumn* const column = &passage->columns[c];

    column->past = past;
    past         = column->is_phrase_end ? column->bass : past;
  }
}

void
qf_passage_look_around(QfPassage* const passage)
{
  mark_phrases(passage);
  mark_outside(passage);
  mark_goals(passage);
}
