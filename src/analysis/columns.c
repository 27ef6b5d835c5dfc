// SPDX-License-Identifier: MIT
#include "columns.h"
#include "weights.h"

#include <string.h>

static float
beats_of(const QfScore* const score, const QfTime start, const QfTime duration)
{
  const QfBar* const bar = qf_score_get_bar(score, qf_score_bar_at(score, start));

  return (float)(qf_time_to_double(duration) / qf_time_to_double(qf_metre_beat(bar->metre)));
}

static size_t
at_most(const size_t value, const size_t most)
{
  return value < most ? value : most;
}

size_t
qf_top_note(const QfSlice* const slice)
{
  size_t top = 0;

  for (size_t i = 1; i < slice->n_notes; ++i) {
    top = slice->notes[i].voice < slice->notes[top].voice ? i : top;
  }
  return top;
}

/// Lowest pitch, first voice, or another
static size_t
place_of(const QfSlice* const slice, const size_t note)
{
  return note == 0 ? 0 : (note == qf_top_note(slice) ? 2 : 1);
}

float
qf_struck_share(const QfSlice* const slice)
{
  size_t n_struck = 0;

  for (size_t i = 0; i < slice->n_notes; ++i) {
    n_struck += slice->notes[i].is_struck;
  }
  return (float)n_struck / (float)slice->n_notes;
}

/// Passing and neighbouring, held over, or otherwise
static size_t
manner_of(const QfForeignKind kind, const bool is_weak)
{
  static const uint8_t groups[QF_FOREIGN_N_KINDS] = {
    [QF_FOREIGN_PASSING] = 0,     [QF_FOREIGN_NEIGHBOUR] = 0,    [QF_FOREIGN_SUSPENSION] = 1,
    [QF_FOREIGN_RETARDATION] = 1, [QF_FOREIGN_ANTICIPATION] = 2, [QF_FOREIGN_APPOGGIATURA] = 2,
    [QF_FOREIGN_ESCAPE] = 2,      [QF_FOREIGN_PEDAL] = 1,        [QF_FOREIGN_FREE] = 2,
  };

  return 2U * groups[kind] + (is_weak ? 1U : 0U);
}

void
qf_tally_foreign(QfTally* const         tally,
                 const QfPassage* const passage,
                 const size_t           column,
                 const size_t           note,
                 const bool             is_first)
{
  const QfColumn* const      self     = &passage->columns[column];
  const QfSlice* const       slice    = &passage->slices.slices[self->slice];
  const QfSounding* const    sounding = &slice->notes[note];
  const QfNoteContext* const context  = &passage->contexts[self->slice * QF_MAX_VOICES + note];
  const QfForeignKind        kind     = sounding->is_struck ? context->if_struck : context->if_held;
  const size_t               place    = place_of(slice, note);

  tally->cost += self->beats * qf_weight_foreign_beat(context->if_struck);
  qf_tally_add(tally, QF_F_FOREIGN_BEAT + context->if_struck * 3U + place, self->beats);
  if (is_first || sounding->is_struck) {
    const size_t weak  = context->is_weak ? 1 : 0;
    const size_t index = ((kind * 2U + weak) * 3U + place) * 2U + (sounding->is_struck ? 1U : 0U);

    tally->cost += qf_weight_foreign_start(kind, context->is_weak, qf_struck_share(slice));
    qf_tally_add(tally, QF_F_FOREIGN + index, 1.0F);
  }
}

void
qf_tally_onset(QfTally* const tally, const QfColumn* const column)
{
  const size_t level = column->level;

  tally->cost +=
    qf_weight_onset((int)level, column->block) + (column->share ? 0.0F : QF_WEIGHT_NO_ONSET);
  qf_tally_add(tally, QF_F_ONSET + level * 5U + column->share, 1.0F);
  qf_tally_add(tally, QF_F_ONSET_BASS + level * 3U + column->bass_move, 1.0F);
  qf_tally_add(tally, QF_F_ONSET_LENGTH + level * 4U + column->length, 1.0F);
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

/// Half a beat, a beat, two beats, or more
static uint8_t
length_index(const float beats)
{
  return beats <= 0.6F ? 0 : (beats <= 1.1F ? 1 : (beats <= 2.1F ? 2 : 3));
}

/// Note which way each voice goes on by step
static void
fill_steps(QfColumn* const            column,
           const QfSounding* const    sounding,
           const QfNoteContext* const context)
{
  const uint64_t bit = qf_note_bit(qf_note_name_fifths(qf_pitch_name(sounding->pitch)));

  column->rising |= context->step > 0 ? bit : 0U;
  column->falling |= context->step < 0 ? bit : 0U;
}

static void
fill_column(QfPassage* const passage, const size_t index)
{
  QfColumn* const            column   = &passage->columns[index];
  const QfSlice* const       slice    = &passage->slices.slices[column->slice];
  const QfNoteContext* const contexts = &passage->contexts[column->slice * QF_MAX_VOICES];
  const QfColumn* const      before   = index ? column - 1 : NULL;
  const float                share    = qf_struck_share(slice);

  column->beats     = beats_of(passage->score, slice->start, qf_time_sub(slice->end, slice->start));
  column->bass      = (int8_t)qf_note_name_fifths(qf_pitch_name(slice->notes[0].pitch));
  column->block     = slice->n_notes < 3 || share <= 0.5F ? 0.0F : 2.0F * (share - 0.5F);
  column->level     = (uint8_t)at_most(passage->levels[column->slice], 5);
  column->share     = (uint8_t)(4.0F * share + 0.99F);
  column->length    = length_index(column->beats);
  column->bass_move = !slice->notes[0].is_struck               ? 0
                      : before && before->bass == column->bass ? 1
                                                               : 2;

  QfTally onset = {passage->weights, NULL, 0.0F};

  qf_tally_onset(&onset, column);
  column->onset = onset.cost;

  for (size_t i = 0; i < slice->n_notes; ++i) {
    const QfSounding* const    sounding = &slice->notes[i];
    const QfNoteContext* const context  = &contexts[i];
    const int                  fifths   = qf_note_name_fifths(qf_pitch_name(sounding->pitch));
    const size_t               n_before = column->n_notes;
    QfColumnNote* const        note     = note_of_name(column, fifths);
    const QfForeignKind        kind   = sounding->is_struck ? context->if_struck : context->if_held;
    QfTally                    first  = {passage->weights, NULL, 0.0F};
    QfTally                    inside = first;

    qf_tally_foreign(&first, passage, index, i, true);
    qf_tally_foreign(&inside, passage, index, i, false);
    column->mask |= note->bit;
    note->cost_first += first.cost;
    note->cost_inside += inside.cost;
    note->is_struck |= sounding->is_struck;
    if (column->n_notes != n_before) {
      note->manner = (uint8_t)manner_of(kind, context->is_weak);
    }
    fill_steps(column, sounding, context);
  }
}

void
qf_columns_fill(QfPassage* const passage)
{
  bool is_after_rest = false;

  for (size_t s = 0; s < passage->slices.n_slices; ++s) {
    const QfSlice* const slice = &passage->slices.slices[s];

    if (!slice->n_notes) {
      is_after_rest |=
        beats_of(passage->score, slice->start, qf_time_sub(slice->end, slice->start)) >= 1.0F;
      continue;
    }

    QfColumn* const column = &passage->columns[passage->n_columns];

    column->slice         = s;
    column->is_after_rest = is_after_rest;
    is_after_rest         = false;
    fill_column(passage, passage->n_columns++);
  }
}

static bool
floats_equal(const float a, const float b)
{
  return a <= b && a >= b;
}

static bool
notes_equal(const QfColumnNote* const a, const QfColumnNote* const b)
{
  return a->fifths == b->fifths && a->is_struck == b->is_struck && a->manner == b->manner &&
         floats_equal(a->cost_first, b->cost_first) && floats_equal(a->cost_inside, b->cost_inside);
}

bool
qf_columns_equal(const QfColumn* const a, const QfColumn* const b)
{
  bool are_equal =
    a->mask == b->mask && floats_equal(a->beats, b->beats) && floats_equal(a->onset, b->onset) &&
    a->level == b->level && a->share == b->share && a->bass_move == b->bass_move &&
    a->length == b->length && a->is_phrase_end == b->is_phrase_end &&
    a->is_phrase_start == b->is_phrase_start && a->rising == b->rising &&
    a->falling == b->falling && a->is_after_rest == b->is_after_rest && a->bass == b->bass &&
    floats_equal(a->block, b->block) && a->n_notes == b->n_notes && a->goal == b->goal &&
    a->past == b->past && a->rest == b->rest && !memcmp(a->ahead, b->ahead, sizeof(a->ahead)) &&
    !memcmp(a->behind, b->behind, sizeof(a->behind));

  for (size_t i = 0; are_equal && i < a->n_notes; ++i) {
    are_equal = notes_equal(&a->notes[i], &b->notes[i]);
  }
  return are_equal;
}
