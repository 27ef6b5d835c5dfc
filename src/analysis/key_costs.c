// SPDX-License-Identifier: MIT
#include "key_costs.h"
#include "surroundings.h"
#include "weights.h"

#define LONG_STAY 9.0 ///< Beats: more than the last limit of qf_time_index()

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
  qf_tally_textured(tally, QF_F_SIGNATURE_FIRST, 18, signature_index(passage, key),
                    passage->texture, 1.0F);
  qf_tally_textured(tally, QF_F_FIRST_BASS, 24, tonic_index(passage->first_bass, key),
                    passage->texture, 1.0F);
}

void
qf_tally_last_key(QfTally* const tally, const QfPassage* const passage, const size_t key)
{
  qf_tally_textured(tally, QF_F_SIGNATURE_LAST, 18, signature_index(passage, key), passage->texture,
                    1.0F);
  qf_tally_textured(tally, QF_F_FINAL_BASS, 24, tonic_index(passage->final_bass, key),
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
  const int             n_outside = __builtin_popcountll(self->mask & ~qf_scale_mask(key));

  tally->cost += QF_WEIGHT_OUTSIDE_SCALE * beats * (float)n_outside;
  for (size_t i = 0; i < self->n_notes; ++i) {
    const int fifths = self->notes[i].fifths - tonic;
    const int index  = fifths < -8 ? 0 : (fifths > 12 ? 20 : fifths + 8);

    qf_tally_add(tally, QF_F_SCALE_BEAT + key % 2 * 21U + (size_t)index, beats);
  }
  qf_tally_textured(tally, QF_F_SIGNATURE_BEAT, 18, signature_index(passage, key), passage->texture,
                    beats);
  qf_tally_textured(tally, QF_F_FIRST_BASS_BEAT, 24, tonic_index(passage->first_bass, key),
                    passage->texture, beats);
  qf_tally_textured(tally, QF_F_FINAL_BASS_BEAT, 24, tonic_index(passage->final_bass, key),
                    passage->texture, beats);
  qf_tally_textured(tally, QF_F_GOAL_BEAT, 24, tonic_index(self->goal, key), passage->texture,
                    beats);
  qf_tally_textured(tally, QF_F_AROUND_BEAT, 72,
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

  qf_tally_textured(tally, QF_F_LEAVE_GOAL, 24, tonic_index(self->goal, key), t, 1.0F);
  qf_tally_textured(tally, QF_F_LEAVE_AHEAD, 12, key % 2 * 6U + self->ahead[key], t, 1.0F);
}

void
qf_tally_enter_key(QfTally* const         tally,
                   const QfPassage* const passage,
                   const size_t           column,
                   const size_t           key)
{
  const QfColumn* const self = &passage->columns[column];
  const float           t    = passage->texture;

  qf_tally_textured(tally, QF_F_ENTER_GOAL, 24, tonic_index(self->goal, key), t, 1.0F);
  qf_tally_textured(tally, QF_F_ENTER_AHEAD, 12, key % 2 * 6U + self->ahead[key], t, 1.0F);
  qf_tally_textured(tally, QF_F_ENTER_BEHIND, 12, key % 2 * 6U + self->behind[key], t, 1.0F);
  qf_tally_textured(tally, QF_F_CHANGE_REST, 6, self->rest, t, 1.0F);
  qf_tally_textured(tally, QF_F_CHANGE_LEVEL, 6, self->level, t, 1.0F);
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
  return stay.key % 2 * 6U + qf_time_index((double)stay.beats);
}

void
qf_tally_stay(QfTally* const         tally,
              const QfPassage* const passage,
              const QfStay           stay,
              const size_t           next)
{
  const size_t kind = (stay.has_ended ? 1U : 0U) + (stay.before == next ? 2U : 0U);

  qf_tally_textured(tally, QF_F_STAY, 48, stay_index(stay) * 4U + kind, passage->texture, 1.0F);
}

void
qf_tally_last_stay(QfTally* const tally, const QfPassage* const passage, const QfStay stay)
{
  qf_tally_textured(tally, QF_F_LAST_STAY, 12, stay_index(stay), passage->texture, 1.0F);
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

  qf_tally_textured(tally, QF_F_CHANGE_FIRST, 576, first + tonic_index(passage->first_bass, to), t,
                    1.0F);
  qf_tally_textured(tally, QF_F_CHANGE_FINAL, 576, final + tonic_index(passage->final_bass, to), t,
                    1.0F);
  qf_tally_textured(tally, QF_F_CHANGE_SIGNATURE, 324, sign + signature_index(passage, to), t,
                    1.0F);
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

  qf_tally_textured(tally, QF_F_CHANGE_AHEAD, 216, times, t, 1.0F);
  qf_tally_textured(tally, QF_F_CHANGE_GOAL, 576,
                    tonic_index(self->goal, from) * 24U + tonic_index(self->goal, to), t, 1.0F);
  qf_tally_textured(tally, QF_F_CHANGE_PAST, 576,
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

  qf_tally_textured(tally, QF_F_APPLIED_AHEAD, 12, target % 2 * 6U + self->ahead[target], t, 1.0F);
  qf_tally_textured(tally, QF_F_APPLIED_AROUND, 216,
                    (self->ahead[target] * 6U + self->behind[target]) * 6U + self->rest, t, 1.0F);
  qf_tally_textured(tally, QF_F_APPLIED_GOAL, 576,
                    tonic_index(self->goal, key) * 24U + tonic_index(self->goal, target), t, 1.0F);
  qf_tally_textured(tally, QF_F_APPLIED_PAST, 576,
                    tonic_index(self->past, key) * 24U + tonic_index(self->past, target), t, 1.0F);
  qf_tally_textured(tally, QF_F_APPLIED_FIRST, 576,
                    first + tonic_index(passage->first_bass, target), t, 1.0F);
  qf_tally_textured(tally, QF_F_APPLIED_FINAL, 576,
                    final + tonic_index(passage->final_bass, target), t, 1.0F);
  qf_tally_textured(tally, QF_F_APPLIED_SIGNATURE, 324, sign + signature_index(passage, target), t,
                    1.0F);
}
