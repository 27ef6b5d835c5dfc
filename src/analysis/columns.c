// SPDX-License-Identifier: MIT
#include "columns.h"
#include "weights.h"

#include <stdlib.h>
#include <string.h>

/// Notes of a key: its signature's, in minor also the raised sixth and seventh
static uint64_t
scale_mask(const size_t key)
{
  const int lowest = (int)(key / 2) - 7 - 1;
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

static float
beats_of(const QfScore* const score, const QfTime start, const QfTime duration)
{
  const QfBar* const bar = qf_score_get_bar(score, qf_score_bar_at(score, start));

  return (float)(qf_time_to_double(duration) / qf_time_to_double(qf_metre_beat(bar->metre)));
}

static QfColumnNote*
note_of_name(QfColumn* const column, const int fifths)
{
  for (size_t i = 0; i < column->n_notes; ++i) {
    if (column->notes[i].fifths == fifths) {
      return &column->notes[i];
    }
  }

  QfColumnNote* const note = &column->notes[column->n_notes++];

  *note = (QfColumnNote){.bit = qf_note_bit(fifths), .fifths = (int8_t)fifths};
  return note;
}

static void
fill_column(QfColumn* const            column,
            const QfScore* const       score,
            const QfSlice* const       slice,
            const QfNoteContext* const contexts)
{
  size_t n_struck = 0;

  for (size_t i = 0; i < slice->n_notes; ++i) {
    n_struck += slice->notes[i].is_struck;
  }

  const float share = (float)n_struck / (float)slice->n_notes;

  column->beats = beats_of(score, slice->start, qf_time_sub(slice->end, slice->start));
  column->bass  = (int8_t)qf_note_name_fifths(qf_pitch_name(slice->notes[0].pitch));

  column->block = slice->n_notes < 3 || share <= 0.5F ? 0.0F : 2.0F * (share - 0.5F);

  column->onset = qf_weight_onset(qf_score_level_at(score, slice->start), column->block) +
                  (n_struck ? 0.0F : QF_WEIGHT_NO_ONSET);

  for (size_t i = 0; i < slice->n_notes; ++i) {
    const QfSounding* const    sounding = &slice->notes[i];
    const QfNoteContext* const context  = &contexts[i];
    const int                  fifths   = qf_note_name_fifths(qf_pitch_name(sounding->pitch));
    QfColumnNote* const        note     = note_of_name(column, fifths);
    const QfForeignKind        kind  = sounding->is_struck ? context->if_struck : context->if_held;
    const float                first = qf_weight_foreign_start(kind, context->is_weak, share);
    const float                beat  = column->beats * qf_weight_foreign_beat(context->if_struck);

    column->mask |= note->bit;
    note->cost_first += first + beat;
    note->cost_inside += (sounding->is_struck ? first : 0.0F) + beat;
  }
}

/// Add up, column by column, what lies outside each scale
static void
weigh_scales(QfColumn* const columns, const size_t n_columns)
{
  uint64_t masks[QF_N_KEYS];
  double   sums[QF_N_KEYS] = {0.0};
  double   end_beats       = 0.0;

  for (size_t k = 0; k < QF_N_KEYS; ++k) {
    masks[k] = scale_mask(k);
  }

  for (size_t c = 0; c < n_columns; ++c) {
    const float beats = columns[c].beats < 2.0F ? columns[c].beats : 2.0F;

    end_beats += (double)columns[c].beats;
    columns[c].end_beats = (float)end_beats;
    for (size_t k = 0; k < QF_N_KEYS; ++k) {
      const int n_outside = __builtin_popcountll(columns[c].mask & ~masks[k]);

      sums[k] += (double)(QF_WEIGHT_OUTSIDE_SCALE * beats * (float)n_outside);
      columns[c].outside[k] = (float)sums[k];
    }
  }
}

static void
fill_columns(QfPassage* const passage)
{
  bool is_after_rest = false;

  for (size_t s = 0; s < passage->slices.n_slices; ++s) {
    const QfSlice* const slice = &passage->slices.slices[s];

    if (!slice->n_notes) {
      is_after_rest |=
        beats_of(passage->score, slice->start, qf_time_sub(slice->end, slice->start)) >= 1.0F;
      continue;
    }

    QfColumn* const column = &passage->columns[passage->n_columns++];

    column->slice         = s;
    column->is_after_rest = is_after_rest;
    is_after_rest         = false;
    fill_column(column, passage->score, slice, &passage->contexts[s * QF_MAX_VOICES]);
  }
}

QfStatus
qf_passage_init(QfPassage* const passage, const QfScore* const score)
{
  memset(passage, 0, sizeof(*passage));
  passage->score = score;

  QfStatus st = qf_slices_of(score, &passage->slices);

  if (!st) {
    st = qf_note_contexts_of(score, &passage->slices, &passage->contexts);
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

  fill_columns(passage);
  weigh_scales(passage->columns, passage->n_columns);
  return QF_OK;
}

void
qf_passage_clear(QfPassage* const passage)
{
  qf_slices_clear(&passage->slices);
  free(passage->contexts);
  free(passage->columns);
  memset(passage, 0, sizeof(*passage));
}
