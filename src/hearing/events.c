// SPDX-License-Identifier: MIT
#include "quintfall/events.h"

#include "channels.h"
#include "event_list.h"
#include "lead_in.h"

#include "quintfall/slice.h"

#include <stdlib.h>

// Time for the last notes to die away.
static const double release_s = 1.5;

/// One hearing on its way to becoming events
typedef struct {
  const QfScore* score;
  QfHearing      hearing;
  QfTime         from;
  QfTime         to;
  double         seconds_per_whole;
  QfPart         parts[QF_MAX_VOICES];
  QfSlices       slices; ///< Owned
  QfEventList    list;   ///< Owned
} Performance;

static double
seconds_of(const Performance* const self, const QfTime duration)
{
  return qf_time_to_double(duration) * self->seconds_per_whole;
}

/// Seconds of a score time within a pass that begins at `start_s`
static double
moment(const Performance* const self, const double start_s, const QfTime time)
{
  return start_s + seconds_of(self, qf_time_sub(time, self->from));
}

/// Add what of a note lies in the range
static void
add_note(Performance* const self,
         const double       start_s,
         const size_t       voice,
         const QfPitch      pitch,
         const QfTime       start,
         const QfTime       end)
{
  const QfTime first = qf_time_max(start, self->from);
  const QfTime last  = qf_time_min(end, self->to);
  if (qf_time_compare(first, last) < 0) {
    const QfPart part = self->parts[voice];
    qf_event_list_add_note(&self->list, (QfSoundedNote){.start_s    = moment(self, start_s, first),
                                                        .end_s      = moment(self, start_s, last),
                                                        .channel    = part.channel,
                                                        .key        = (uint8_t)qf_pitch_midi(pitch),
                                                        .velocity   = part.velocity,
                                                        .score_time = first});
  }
}

/// Every note once, as written
static void
add_voices(Performance* const self, const double start_s)
{
  const size_t n_voices = qf_score_n_voices(self->score);
  for (size_t voice = 0; voice < n_voices; ++voice) {
    const size_t n_notes = qf_score_n_notes(self->score, voice);
    for (size_t i = 0; i < n_notes; ++i) {
      const QfNote* const note = qf_score_get_note(self->score, voice, i);
      const QfTime        end  = qf_time_add(note->start, note->duration);
      add_note(self, start_s, voice, note->pitch, note->start, end);
    }
  }
}

/// Every slice as a block of its own, held notes struck again
static void
add_blocks(Performance* const self, const double start_s)
{
  for (size_t i = 0; i < self->slices.n_slices; ++i) {
    const QfSlice* const slice = &self->slices.slices[i];
    for (size_t n = 0; n < slice->n_notes; ++n) {
      const QfSounding* const note = &slice->notes[n];
      add_note(self, start_s, note->voice, note->pitch, slice->start, slice->end);
    }
  }
}

static void
add_marks(Performance* const self, const double start_s)
{
  for (size_t i = 0; i < self->slices.n_slices; ++i) {
    const QfSlice* const slice = &self->slices.slices[i];
    const QfTime         first = qf_time_max(slice->start, self->from);
    if (qf_time_compare(first, qf_time_min(slice->end, self->to)) < 0) {
      qf_event_list_add_mark(&self->list, moment(self, start_s, first), first);
    }
  }
}

/// All passes with the gaps between them; returns when the last one ends
static double
add_passes(Performance* const self, const QfMetre metre, double start_s)
{
  const double pass_s = seconds_of(self, qf_time_sub(self->to, self->from));
  const double gap_s  = self->hearing.gap_beats * seconds_of(self, qf_metre_beat(metre));

  for (int i = 0; i < self->hearing.repeats && !self->list.failed; ++i) {
    if (i > 0 && gap_s > 0.0) {
      qf_event_list_add_mark(&self->list, start_s, QF_NOT_IN_SCORE);
      start_s += gap_s;
    }

    add_marks(self, start_s);
    if (self->hearing.forward.kind == QF_FORWARD_QUALITY) {
      add_blocks(self, start_s);
    } else {
      add_voices(self, start_s);
    }
    start_s += pass_s;
  }

  return start_s;
}

static void
add_setups(QfEventList* const list, const QfPart* const parts, const size_t n_parts)
{
  uint32_t channels = 0; // Bit c set: channel c is set up
  for (size_t i = 0; i < n_parts; ++i) {
    const QfPart part = parts[i];
    if (!(channels & 1U << part.channel)) {
      channels |= 1U << part.channel;
      qf_event_list_add_setup(list, part.channel, part.program, part.gain_db);
    }
  }
}

/// Middle of what is heard, as a MIDI key
static double
centre_of(const Performance* const self)
{
  int lowest  = 127;
  int highest = 0;
  for (size_t i = 0; i < self->slices.n_slices; ++i) {
    const QfSlice* const slice = &self->slices.slices[i];
    const bool           is_out =
      qf_time_compare(slice->end, self->from) <= 0 || qf_time_compare(slice->start, self->to) >= 0;
    for (size_t n = 0; !is_out && n < slice->n_notes; ++n) {
      const int midi = qf_pitch_midi(slice->notes[n].pitch);

      lowest  = midi < lowest ? midi : lowest;
      highest = midi > highest ? midi : highest;
    }
  }

  return lowest <= highest ? (lowest + highest) / 2.0 : 60.0;
}

/// Metre in force and place in the full bar of where the range begins
static QfMetre
metre_at_start(const Performance* const self, QfTime* const position)
{
  QfMetre metre = {.numerator = 4, .denominator = 4, .n_groups = 4, .groups = {1, 1, 1, 1}};
  *position     = QF_TIME_ZERO;
  if (qf_score_n_bars(self->score) > 0) {
    const QfBar* const bar =
      qf_score_get_bar(self->score, qf_score_bar_at(self->score, self->from));

    metre     = bar->metre;
    *position = qf_time_add(qf_time_sub(self->from, bar->start), bar->offset);
  }

  return metre;
}

/// Add everything; returns when the last note ends
static double
perform(Performance* const self, const QfKey key)
{
  const QfHearing* const hearing  = &self->hearing;
  QfTime                 position = QF_TIME_ZERO;
  const QfMetre          metre    = metre_at_start(self, &position);
  double                 at       = 0.0;

  add_setups(&self->list, self->parts, qf_score_n_voices(self->score));
  if (hearing->has_prelude || hearing->has_count_in) {
    qf_event_list_add_mark(&self->list, 0.0, QF_NOT_IN_SCORE);
  }
  if (hearing->has_prelude) {
    const double beat_s = seconds_of(self, qf_metre_beat(metre));
    at += qf_prelude_add(&self->list, key, centre_of(self), beat_s, hearing->program);
  }
  if (hearing->has_count_in) {
    at += qf_count_in_add(&self->list, metre, position, at, self->seconds_per_whole);
  }

  return add_passes(self, metre, at);
}

QfStatus
qf_events_of(const QfScore* const score,
             const QfKey          key,
             const QfHearing      hearing,
             const QfTime         from,
             const QfTime         to,
             QfEvents* const      result)
{
  const size_t n_voices = qf_score_n_voices(score);
  if (hearing.forward.kind == QF_FORWARD_VOICE && hearing.forward.voice >= n_voices) {
    return QF_ERR_RANGE;
  }

  const QfTime score_end = qf_score_get_end(score);
  const bool   is_whole  = qf_time_compare(to, from) <= 0;
  Performance  self      = {.score   = score,
                            .hearing = qf_hearing_clamp(hearing),
                            .from    = qf_time_min(qf_time_max(from, QF_TIME_ZERO), score_end),
                            .to      = is_whole ? score_end : qf_time_min(to, score_end)};

  self.to                = qf_time_max(self.to, self.from);
  self.seconds_per_whole = 240.0 / (qf_score_get_tempo(score) * self.hearing.tempo_factor);
  qf_parts_of(self.hearing, n_voices, self.parts);

  const QfStatus st = qf_slices_of(score, &self.slices);
  if (st) {
    return st;
  }

  const double end_s = perform(&self, key);
  qf_slices_clear(&self.slices);
  return qf_event_list_finish(&self.list, end_s + release_s, self.hearing.level_db, result);
}

QfStatus
qf_events_of_chord(const QfPitch* const pitches,
                   const size_t         n_pitches,
                   const QfHearing      hearing,
                   const double         seconds,
                   QfEvents* const      result)
{
  if (n_pitches > QF_MAX_VOICES || !(seconds > 0.0)) {
    return QF_ERR_RANGE;
  }

  QfHearing used = qf_hearing_clamp(hearing);
  if (used.forward.kind == QF_FORWARD_VOICE && used.forward.voice >= n_pitches) {
    used.forward.kind = QF_FORWARD_ALL;
  }

  QfPart parts[QF_MAX_VOICES];
  qf_parts_of(used, n_pitches, parts);

  QfEventList list = {0};
  add_setups(&list, parts, n_pitches);
  qf_event_list_add_mark(&list, 0.0, QF_NOT_IN_SCORE);
  for (size_t i = 0; i < n_pitches; ++i) {
    const int midi = qf_pitch_midi(pitches[i]);
    if (midi < 0 || midi > 127) {
      free(list.events);
      return QF_ERR_RANGE;
    }

    qf_event_list_add_note(&list, (QfSoundedNote){.start_s    = 0.0,
                                                  .end_s      = seconds,
                                                  .channel    = parts[i].channel,
                                                  .key        = (uint8_t)midi,
                                                  .velocity   = parts[i].velocity,
                                                  .score_time = QF_NOT_IN_SCORE});
  }

  return qf_event_list_finish(&list, seconds + release_s, used.level_db, result);
}

void
qf_events_clear(QfEvents* const events)
{
  if (events) {
    for (size_t i = 0; i < events->n_clips; ++i) {
      free(events->clips[i]);
    }
    free(events->clips);
    free(events->events);
    *events = (QfEvents){0};
  }
}
