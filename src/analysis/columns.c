// SPDX-License-Identifier: MIT
#include "columns.h"
#include "weights.h"

#include <stdlib.h>
#include <string.h>

#define LONG_STAY 9.0 ///< Beats: more than the last limit of time_index()

/// Notes of a key: its signature's, in minor also the raised sixth and seventh
static uint64_t
scale_mask(const size_t key)
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

/// Index of the note of the first voice, which may be written below others
static size_t
top_note(const QfSlice* const slice)
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
  return note == 0 ? 0 : (note == top_note(slice) ? 2 : 1);
}

static float
struck_share(const QfSlice* const slice)
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

    tally->cost += qf_weight_foreign_start(kind, context->is_weak, struck_share(slice));
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
  const float                share    = struck_share(slice);

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

/// Nothing, a beat, two, four, eight, or more
static uint8_t
time_index(const double beats)
{
  static const double limits[] = {0.01, 1.1, 2.1, 4.1, 8.1};
  uint8_t             i        = 0;

  while (i < sizeof(limits) / sizeof(limits[0]) && beats > limits[i]) {
    ++i;
  }
  return i;
}

static void
tally_textured(QfTally* const tally,
               const size_t   block,
               const size_t   size,
               const size_t   index,
               const float    texture,
               const float    value)
{
  qf_tally_add(tally, block + index, (1.0F - texture) * value);
  qf_tally_add(tally, block + size + index, texture * value);
}

static size_t
signature_index(const QfPassage* const passage, const size_t key)
{
  const int fifths = qf_key_signs(key) - passage->signature;

  return key % 2 * 9U + (size_t)(fifths < -4 ? 0 : (fifths > 4 ? 8 : fifths + 4));
}

static size_t
tonic_index(const int bass, const size_t key)
{
  const int tonic = qf_key_signs(key) + (key % 2 ? 3 : 0);

  return key % 2 * 12U + (size_t)(((tonic - bass) % 12 + 12) % 12);
}

void
qf_tally_first_key(QfTally* const tally, const QfPassage* const passage, const size_t key)
{
  tally_textured(tally, QF_F_SIGNATURE_FIRST, 18, signature_index(passage, key), passage->texture,
                 1.0F);
  tally_textured(tally, QF_F_FIRST_BASS, 24, tonic_index(passage->first_bass, key),
                 passage->texture, 1.0F);
}

void
qf_tally_last_key(QfTally* const tally, const QfPassage* const passage, const size_t key)
{
  tally_textured(tally, QF_F_SIGNATURE_LAST, 18, signature_index(passage, key), passage->texture,
                 1.0F);
  tally_textured(tally, QF_F_FINAL_BASS, 24, tonic_index(passage->final_bass, key),
                 passage->texture, 1.0F);
}

void
qf_tally_place(QfTally* const         tally,
               const QfPassage* const passage,
               const size_t           column,
               const size_t           key)
{
  const QfColumn* const self      = &passage->columns[column];
  const float           beats     = self->beats < 2.0F ? self->beats : 2.0F;
  const int             tonic     = qf_key_signs(key) + (key % 2 ? 3 : 0);
  const int             n_outside = __builtin_popcountll(self->mask & ~scale_mask(key));

  tally->cost += QF_WEIGHT_OUTSIDE_SCALE * beats * (float)n_outside;
  for (size_t i = 0; i < self->n_notes; ++i) {
    const int fifths = self->notes[i].fifths - tonic;
    const int index  = fifths < -8 ? 0 : (fifths > 12 ? 20 : fifths + 8);

    qf_tally_add(tally, QF_F_SCALE_BEAT + key % 2 * 21U + (size_t)index, beats);
  }
  tally_textured(tally, QF_F_SIGNATURE_BEAT, 18, signature_index(passage, key), passage->texture,
                 beats);
  tally_textured(tally, QF_F_FIRST_BASS_BEAT, 24, tonic_index(passage->first_bass, key),
                 passage->texture, beats);
  tally_textured(tally, QF_F_FINAL_BASS_BEAT, 24, tonic_index(passage->final_bass, key),
                 passage->texture, beats);
  tally_textured(tally, QF_F_GOAL_BEAT, 24, tonic_index(self->goal, key), passage->texture, beats);
  tally_textured(tally, QF_F_AROUND_BEAT, 72,
                 key % 2 * 36U + self->ahead[key] * 6U + self->behind[key], passage->texture,
                 beats);
}

void
qf_tally_leave_key(QfTally* const         tally,
                   const QfPassage* const passage,
                   const size_t           column,
                   const size_t           key)
{
  const QfColumn* const self = &passage->columns[column];
  const float           t    = passage->texture;

  tally_textured(tally, QF_F_LEAVE_GOAL, 24, tonic_index(self->goal, key), t, 1.0F);
  tally_textured(tally, QF_F_LEAVE_AHEAD, 12, key % 2 * 6U + self->ahead[key], t, 1.0F);
}

void
qf_tally_enter_key(QfTally* const         tally,
                   const QfPassage* const passage,
                   const size_t           column,
                   const size_t           key)
{
  const QfColumn* const self = &passage->columns[column];
  const float           t    = passage->texture;

  tally_textured(tally, QF_F_ENTER_GOAL, 24, tonic_index(self->goal, key), t, 1.0F);
  tally_textured(tally, QF_F_ENTER_AHEAD, 12, key % 2 * 6U + self->ahead[key], t, 1.0F);
  tally_textured(tally, QF_F_ENTER_BEHIND, 12, key % 2 * 6U + self->behind[key], t, 1.0F);
  tally_textured(tally, QF_F_CHANGE_REST, 6, self->rest, t, 1.0F);
  tally_textured(tally, QF_F_CHANGE_LEVEL, 6, self->level, t, 1.0F);
  qf_tally_add(tally, QF_F_CHANGE_PHRASE + (self->is_phrase_start ? 1U : 0U), 1.0F);
}

QfStay
qf_stay_on(const QfPassage* const passage,
           const QfStay           stay,
           const size_t           first,
           const size_t           end,
           const size_t           key)
{
  const bool            is_same     = key == stay.key;
  const QfColumn* const last        = &passage->columns[end - 1];
  const double          from        = first ? passage->columns[first - 1].end_beats : 0.0;
  const uint32_t        ends_before = first ? passage->columns[first - 1].n_phrase_ends : 0U;
  const double          beats       = last->end_beats - from + (is_same ? (double)stay.beats : 0.0);

  return (QfStay){.beats     = (float)(beats < LONG_STAY ? beats : LONG_STAY),
                  .has_ended = (is_same && stay.has_ended) || last->n_phrase_ends != ends_before,
                  .key       = key,
                  .before    = is_same ? stay.before : stay.key};
}

static size_t
stay_index(const QfStay stay)
{
  return stay.key % 2 * 6U + time_index((double)stay.beats);
}

void
qf_tally_stay(QfTally* const         tally,
              const QfPassage* const passage,
              const QfStay           stay,
              const size_t           next)
{
  const size_t kind = (stay.has_ended ? 1U : 0U) + (stay.before == next ? 2U : 0U);

  tally_textured(tally, QF_F_STAY, 48, stay_index(stay) * 4U + kind, passage->texture, 1.0F);
}

void
qf_tally_last_stay(QfTally* const tally, const QfPassage* const passage, const QfStay stay)
{
  tally_textured(tally, QF_F_LAST_STAY, 12, stay_index(stay), passage->texture, 1.0F);
}

void
qf_tally_change_keys(QfTally* const         tally,
                     const QfPassage* const passage,
                     const size_t           from,
                     const size_t           to)
{
  const float  t     = passage->texture;
  const size_t first = tonic_index(passage->first_bass, from) * 24U;
  const size_t final = tonic_index(passage->final_bass, from) * 24U;
  const size_t sign  = signature_index(passage, from) * 18U;

  tally_textured(tally, QF_F_CHANGE_FIRST, 576, first + tonic_index(passage->first_bass, to), t,
                 1.0F);
  tally_textured(tally, QF_F_CHANGE_FINAL, 576, final + tonic_index(passage->final_bass, to), t,
                 1.0F);
  tally_textured(tally, QF_F_CHANGE_SIGNATURE, 324, sign + signature_index(passage, to), t, 1.0F);
}

void
qf_tally_change_at(QfTally* const         tally,
                   const QfPassage* const passage,
                   const size_t           column,
                   const size_t           from,
                   const size_t           to)
{
  const QfColumn* const self  = &passage->columns[column];
  const float           t     = passage->texture;
  const size_t          times = (self->ahead[from] * 6U + self->ahead[to]) * 6U + self->rest;

  tally_textured(tally, QF_F_CHANGE_AHEAD, 216, times, t, 1.0F);
  tally_textured(tally, QF_F_CHANGE_GOAL, 576,
                 tonic_index(self->goal, from) * 24U + tonic_index(self->goal, to), t, 1.0F);
  tally_textured(tally, QF_F_CHANGE_PAST, 576,
                 tonic_index(self->past, from) * 24U + tonic_index(self->past, to), t, 1.0F);
}

void
qf_tally_apply_key(QfTally* const         tally,
                   const QfPassage* const passage,
                   const size_t           column,
                   const size_t           key,
                   const size_t           target)
{
  const QfColumn* const self  = &passage->columns[column];
  const float           t     = passage->texture;
  const size_t          first = tonic_index(passage->first_bass, key) * 24U;
  const size_t          final = tonic_index(passage->final_bass, key) * 24U;
  const size_t          sign  = signature_index(passage, key) * 18U;

  tally_textured(tally, QF_F_APPLIED_AHEAD, 12, target % 2 * 6U + self->ahead[target], t, 1.0F);
  tally_textured(tally, QF_F_APPLIED_AROUND, 216,
                 (self->ahead[target] * 6U + self->behind[target]) * 6U + self->rest, t, 1.0F);
  tally_textured(tally, QF_F_APPLIED_GOAL, 576,
                 tonic_index(self->goal, key) * 24U + tonic_index(self->goal, target), t, 1.0F);
  tally_textured(tally, QF_F_APPLIED_PAST, 576,
                 tonic_index(self->past, key) * 24U + tonic_index(self->past, target), t, 1.0F);
  tally_textured(tally, QF_F_APPLIED_FIRST, 576, first + tonic_index(passage->first_bass, target),
                 t, 1.0F);
  tally_textured(tally, QF_F_APPLIED_FINAL, 576, final + tonic_index(passage->final_bass, target),
                 t, 1.0F);
  tally_textured(tally, QF_F_APPLIED_SIGNATURE, 324, sign + signature_index(passage, target), t,
                 1.0F);
}

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
      const QfSounding* const top = &slice->notes[top_note(slice)];

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
    const uint64_t scale = scale_mask(k);
    double         beats = 100.0;

    for (size_t c = 0; c < n; ++c) {
      QfColumn* const column = &passage->columns[c];

      column->behind[k] = time_index(beats);
      beats             = column->mask & ~scale ? 0.0 : beats;
      beats += (double)column->beats;
    }

    beats = 100.0;
    for (size_t c = n; c-- > 0;) {
      QfColumn* const column = &passage->columns[c];

      beats            = column->mask & ~scale ? 0.0 : beats + (double)column->beats;
      column->ahead[k] = time_index(beats);
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
    column->rest = time_index(beats);
  }

  int8_t past = passage->n_columns ? passage->columns[0].bass : 0;

  for (size_t c = 0; c < passage->n_columns; ++c) {
    QfColumn* const column = &passage->columns[c];

    column->past = past;
    past         = column->is_phrase_end ? column->bass : past;
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

static float
between_0_and_1(const float value)
{
  return value < 0.0F ? 0.0F : (value > 1.0F ? 1.0F : value);
}

/// How far a passage is short and in plain chords
static float
plainness_of(const QfPassage* const passage)
{
  float  n      = 0.0F;
  size_t n_weak = 0;

  for (size_t s = 0; s < passage->slices.n_slices; ++s) {
    const QfSlice* const slice = &passage->slices.slices[s];

    if (slice->n_notes) {
      n += 1.0F;
      n_weak += passage->levels[s] >= 3 && struck_share(slice) < 1.0F;
    }
  }

  const float brevity = between_0_and_1((44.0F - n) / 12.0F);
  const float plain   = between_0_and_1(1.5F - (float)n_weak / (0.3F * (n > 0.0F ? n : 1.0F)));

  return brevity * plain;
}

/// Lowest note of a slice, in fifths
static int
bass_of(const QfSlice* const slice)
{
  return qf_note_name_fifths(qf_pitch_name(slice->notes[0].pitch));
}

static bool
has_note(const QfSlices* const slices, const int fifths)
{
  for (size_t s = 0; s < slices->n_slices; ++s) {
    for (size_t i = 0; i < slices->slices[s].n_notes; ++i) {
      if (qf_note_name_fifths(qf_pitch_name(slices->slices[s].notes[i].pitch)) == fifths) {
        return true;
      }
    }
  }
  return false;
}

/**
   True if a passage ends on a tonic of its signature, without having begun in the relative key.

   The sixth degree of major is no tonic unless its leading tone is heard.
*/
static bool
ends_at_home(const QfPassage* const passage)
{
  const int      major = qf_key_fifths(qf_score_signature_at(passage->score, QF_TIME_ZERO));
  const QfSlice* first = passage->slices.slices;
  const QfSlice* end   = first + passage->slices.n_slices;

  while (first < end && !first->n_notes) {
    ++first;
  }
  while (end > first && !end[-1].n_notes) {
    --end;
  }
  if (first == end) {
    return false;
  }

  const int minor = major + 3;
  const int from  = bass_of(first);
  const int to    = bass_of(end - 1);

  return to == major ? from != minor || !has_note(&passage->slices, minor + 5)
                     : to == minor && from != major;
}

/**
   How far a passage is an example of a change of key, rather than a piece or an exercise.

   Authors of short examples in plain chords write them to go from one key to
   another, and those who label them name more keys: a few chords are enough.
   What closes on the tonic of its signature may as well be an exercise.
*/
static float
texture_of(const QfPassage* const passage, const float plainness)
{
  return (ends_at_home(passage) ? 0.5F : 1.0F) * plainness;
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
    const float plainness = plainness_of(passage);

    passage->texture = texture_of(passage, plainness);
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

  fill_columns(passage);
  mark_phrases(passage);
  mark_outside(passage);
  mark_goals(passage);
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
