// SPDX-License-Identifier: MIT
#include "passage.h"

#include "clock.h"
#include "strikes.h"

#include <math.h>

/// Seconds of a score time within the pass
static double
moment(const QfPassage* const self, const QfTime time)
{
  return qf_moment(self->start_s, qf_time_sub(time, self->from), self->seconds_per_whole);
}

/// Add what of a note lies in the range
static void
add_note(QfEventList* const     list,
         const QfPassage* const self,
         const size_t           voice,
         const QfPitch          pitch,
         const QfTime           start,
         const QfTime           end)
{
  const QfTime first = qf_time_max(start, self->from);
  const QfTime last  = qf_time_min(end, self->to);
  if (qf_time_compare(first, last) >= 0) {
    return;
  }

  const QfPart part    = self->parts[voice];
  const double start_s = moment(self, first);
  const double end_s   = moment(self, last);
  qf_event_list_add_note(
    list, (QfSoundedNote){.start_s    = start_s + fmin(part.late_s, (end_s - start_s) / 2.0),
                          .end_s      = end_s,
                          .channel    = part.channel,
                          .key        = (uint8_t)qf_pitch_midi(pitch),
                          .velocity   = part.velocity,
                          .voice      = (uint8_t)voice,
                          .score_time = first});
}

/// Every note once, as written
static void
add_voices(QfEventList* const list, const QfPassage* const self)
{
  const size_t n_voices = qf_score_n_voices(self->score);
  for (size_t voice = 0; voice < n_voices; ++voice) {
    const size_t n_notes = qf_score_n_notes(self->score, voice);
    for (size_t i = 0; i < n_notes; ++i) {
      const QfNote* const note = qf_score_get_note(self->score, voice, i);
      const QfTime        end  = qf_time_add(note->start, note->duration);
      add_note(list, self, voice, note->pitch, note->start, end);
    }
  }
}

/// A block, held notes struck again
static void
add_block(QfEventList* const     list,
          const QfPassage* const self,
          const QfStrike* const  strike,
          const QfTime           end)
{
  for (size_t n = 0; n < strike->n_notes; ++n) {
    add_note(list, self, strike->notes[n].voice, strike->notes[n].pitch, strike->start, end);
  }
}

/// The notes of a block one after another from the bass up, each held to the end
static void
add_spread(QfEventList* const     list,
           const QfPassage* const self,
           const QfStrike* const  strike,
           const QfTime           start)
{
  for (size_t n = 0; n < strike->n_notes; ++n) {
    const QfTime share = qf_time((int64_t)n, (int64_t)strike->n_notes);
    const QfTime late  = qf_time_mul(qf_time_sub(strike->end, start), share);
    add_note(list, self, strike->notes[n].voice, strike->notes[n].pitch, qf_time_add(start, late),
             strike->end);
  }
}

static QfStatus
add_blocks(QfEventList* const list, const QfPassage* const self)
{
  QfStrikes      strikes;
  const QfStatus st = qf_strikes_of(self->slices, self->labels, self->from, self->to, &strikes);
  for (size_t i = 0; !st && i < strikes.n_strikes; ++i) {
    const QfStrike* const strike = &strikes.strikes[i];
    const QfTime half = qf_time_mul(qf_time_add(strike->start, strike->end), qf_time(1, 2));
    add_block(list, self, strike, self->is_spread ? half : strike->end);
    if (self->is_spread) {
      add_spread(list, self, strike, half);
    }
  }
  qf_strikes_clear(&strikes);
  return st;
}

static void
add_marks(QfEventList* const list, const QfPassage* const self)
{
  for (size_t i = 0; i < self->slices->n_slices; ++i) {
    const QfSlice* const slice = &self->slices->slices[i];
    const QfTime         first = qf_time_max(slice->start, self->from);
    if (qf_time_compare(first, qf_time_min(slice->end, self->to)) < 0) {
      qf_event_list_add_mark(list, moment(self, first), first);
    }
  }
}

void
qf_passage_add_setups(QfEventList* const  list,
                      const QfPart* const parts,
                      const size_t        n_parts,
                      const double        at_s)
{
  uint32_t channels = 0; // Bit c set: channel c is set up
  for (size_t i = 0; i < n_parts; ++i) {
    const QfPart part = parts[i];
    if (!(channels & 1U << part.channel)) {
      channels |= 1U << part.channel;
      qf_event_list_add_setup(list, at_s, part.channel, part.program, part.gain_db);
    }
  }
}

QfStatus
qf_passage_add(QfEventList* const list, const QfPassage* const passage)
{
  add_marks(list, passage);
  if (passage->is_in_blocks) {
    return add_blocks(list, passage);
  }

  add_voices(list, passage);
  return QF_OK;
}
