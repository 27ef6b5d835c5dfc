// SPDX-License-Identifier: MIT
#include "smf_out.h"

#include "quintfall/formats.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  N_CHANNELS = 16,
  N_KEYS     = 128,

  // The prelude's and the count-in's; see events.h.
  PRELUDE  = 14,
  COUNT_IN = 9,

  // Leaves room for a voice that is brought forward by 9 dB.
  NOMINAL_VOLUME = 75,
  MAX_VOLUME     = 127,
};

/// A performance being written
typedef struct {
  const QfScore*       score;
  const QfPerformance* performance;
  QfSmfOptions         options;
  SmfOut               out;
  int64_t              starts[QF_PLAN_MAX_STEPS];  ///< Ticks at which the plan's steps begin
  size_t               records[QF_PLAN_MAX_STEPS]; ///< Index of the record of a step of the plan
  uint8_t              leaders[QF_PLAN_MAX_STEPS][N_CHANNELS]; ///< First voice on a channel
} Writer;

/// Signs in force, so that none is said twice
typedef struct {
  double  seconds_per_whole; ///< 0 at first
  QfMetre metre;             ///< All zero at first
  bool    has_key;
  QfKey   key;
} Signs;

static int64_t
ticks_in(const Writer* const self, const QfPerformedStep* const record, const double seconds)
{
  return llround(4.0 * self->out.division * seconds / record->seconds_per_whole);
}

/// Ticks of a moment within a step of the plan
static int64_t
ticks_at(const Writer* const self, const size_t step, const double at_s)
{
  const QfPerformedStep* const record = &self->performance->steps[self->records[step]];
  return self->starts[step] + ticks_in(self, record, at_s - record->start_s);
}

static void
find_starts(Writer* const self)
{
  int64_t at = 0;
  for (size_t i = 0; i < self->performance->n_steps; ++i) {
    const QfPerformedStep* const record = &self->performance->steps[i];
    self->records[record->step]         = i;
    self->starts[record->step]          = at;
    at += ticks_in(self, record, record->end_s - record->start_s);
  }
}

/// Voices may share a channel: its instrument and level stand in the track of the first
static void
find_leaders(Writer* const self)
{
  memset(self->leaders, QF_NO_VOICE, sizeof(self->leaders));
  for (size_t i = 0; i < self->performance->events.n_events; ++i) {
    const QfEvent* const event = &self->performance->events.events[i];
    if (event->kind == QF_EVENT_NOTE_ON) {
      uint8_t* const leader = &self->leaders[event->step][event->channel];
      *leader               = event->voice < *leader ? event->voice : *leader;
    }
  }
}

//
// The first track
//

static void
say_metre(SmfOut* const out, Signs* const signs, const int64_t at, const QfMetre metre)
{
  if (metre.numerator != signs->metre.numerator || metre.denominator != signs->metre.denominator) {
    smf_add_metre(out, at, metre);
    signs->metre = metre;
  }
}

static void
say_key(SmfOut* const out, Signs* const signs, const int64_t at, const QfKey key)
{
  if (!signs->has_key || !qf_key_equals(key, signs->key)) {
    smf_add_key(out, at, key);
    signs->key     = key;
    signs->has_key = true;
  }
}

static void
say_tempo(SmfOut* const out, Signs* const signs, const int64_t at, const double seconds_per_whole)
{
  if (seconds_per_whole != signs->seconds_per_whole) {
    smf_add_tempo(out, at, 240.0 / seconds_per_whole);
    signs->seconds_per_whole = seconds_per_whole;
  }
}

/// What a bar sounds like from a time within it on
static QfMetre
metre_from(const QfScore* const score, const size_t index, const QfTime from)
{
  const QfBar* const bar  = qf_score_get_bar(score, index);
  const QfTime       late = qf_time_sub(from, bar->start);
  const QfTime       rest =
    qf_time_mul(qf_time_sub(bar->length, late), (QfTime){bar->metre.denominator, 1});
  QfMetre metre = smf_sounding_metre(score, index);
  if (late.num > 0 && rest.den == 1) {
    qf_metre((int)rest.num, bar->metre.denominator, &metre);
  }
  return metre;
}

/// Metres and keys of one time through the passage, which begins at `start_s`
static void
write_passage_signs(Writer* const                self,
                    Signs* const                 signs,
                    const QfPerformedStep* const record,
                    const double                 start_s)
{
  const QfScore* const score = self->score;
  say_key(&self->out, signs, ticks_at(self, record->step, start_s),
          qf_score_signature_at(score, record->from));
  for (size_t i = qf_score_bar_at(score, record->from); i < qf_score_n_bars(score); ++i) {
    const QfTime begin = qf_score_get_bar(score, i)->start;
    const QfTime first = qf_time_max(begin, record->from);
    if (qf_time_compare(begin, record->to) >= 0) {
      break;
    }
    const double at_s =
      start_s + qf_time_to_double(qf_time_sub(first, record->from)) * record->seconds_per_whole;
    const int64_t at = ticks_at(self, record->step, at_s);
    say_metre(&self->out, signs, at, metre_from(score, i, first));
    say_key(&self->out, signs, at, qf_score_signature_at(score, first));
  }
}

static void
write_markers(Writer* const self, const QfPerformedStep* const record)
{
  for (size_t i = 0; i < self->performance->n_chapters; ++i) {
    const QfChapter* const chapter = &self->performance->chapters[i];
    const bool is_first = self->records[record->step] == 0 || record[-1].hearing != record->hearing;
    if (is_first && chapter->start_s == record->start_s) {
      smf_add_text(&self->out, self->starts[record->step], SMF_META_MARKER, chapter->title);
    }
  }
}

/// Tempo, metres, keys and the names of the hearings
static void
write_conductor(Writer* const self)
{
  const QfPerformance* const performance = self->performance;
  Signs                      signs       = {0};
  size_t                     next        = 0;
  smf_begin_track(&self->out, qf_score_get_title(self->score));
  for (size_t i = 0; i < performance->n_steps; ++i) {
    const QfPerformedStep* const record = &performance->steps[i];
    const int64_t                at     = self->starts[record->step];
    write_markers(self, record);
    say_tempo(&self->out, &signs, at, record->seconds_per_whole);
    if (record->kind != QF_STEP_PASS) {
      say_metre(&self->out, &signs, at, record->metre);
      say_key(&self->out, &signs, at, self->options.key);
    }
    for (; next < performance->events.n_events &&
           self->records[performance->events.events[next].step] <= i;
         ++next) {
      const QfEvent* const event = &performance->events.events[next];
      if (record->kind == QF_STEP_PASS && event->kind == QF_EVENT_MARK &&
          event->score_time.num >= 0 && !qf_time_compare(event->score_time, record->from)) {
        write_passage_signs(self, &signs, record, event->at_s);
      }
    }
  }
  smf_end_track(&self->out);
}

//
// What sounds
//

static int
volume_of(const double gain_db)
{
  // Source: General MIDI, volume: 40 log10 of the part of 127, in decibels; from memory.
  const long volume = lround(NOMINAL_VOLUME * pow(10.0, gain_db / 40.0));
  return volume < 1 ? 1 : volume > MAX_VOLUME ? MAX_VOLUME : (int)volume;
}

/// Add the syllable of the note that a voice strikes
static void
write_lyric(Writer* const self, const QfEvent* const event, const int64_t at)
{
  const QfNote* const note = event->score_time.num >= 0
                               ? qf_score_note_at(self->score, event->voice, event->score_time)
                               : NULL;
  if (!self->options.has_lyrics || !note) {
    return;
  }

  const QfLabels* const labels = self->options.labels;
  const size_t          link   = labels ? qf_labels_link_at(labels, event->score_time) : SIZE_MAX;
  const QfKey key = link == SIZE_MAX ? self->options.key : qf_labels_get_link(labels, link)->key;
  smf_add_text(&self->out, at, SMF_META_LYRIC,
               qf_solfege(qf_pitch_name(note->pitch), key, self->options.solfege));
}

/// True if an event stands in the track of a voice, or of a channel that is no voice's
static bool
belongs(const Writer* const  self,
        const QfEvent* const event,
        const uint8_t        voice,
        const int            channel)
{
  switch (event->kind) {
    case QF_EVENT_NOTE_ON:
    case QF_EVENT_NOTE_OFF:
      return event->voice == voice && (voice != QF_NO_VOICE || event->channel == channel);
    case QF_EVENT_PROGRAM:
    case QF_EVENT_GAIN:
      return voice == QF_NO_VOICE ? event->channel == channel
                                  : self->leaders[event->step][event->channel] == voice;
    case QF_EVENT_MARK:
    case QF_EVENT_CLIP:
    case QF_EVENT_END:
      break;
  }
  return false;
}

/// End what a voice that shared its channel left to the others to end
static void
write_ends(Writer* const self, const uint8_t held[N_CHANNELS][N_KEYS])
{
  for (int i = 0; i < N_CHANNELS * N_KEYS; ++i) {
    if (held[i / N_KEYS][i % N_KEYS]) {
      smf_add_note(&self->out, self->out.reached, i / N_KEYS, i % N_KEYS, 0);
    }
  }
}

static void
write_track(Writer* const self, const char* const name, const uint8_t voice, const int channel)
{
  uint8_t held[N_CHANNELS][N_KEYS] = {0};
  smf_begin_track(&self->out, name);
  for (size_t i = 0; i < self->performance->events.n_events; ++i) {
    const QfEvent* const event = &self->performance->events.events[i];
    if (!belongs(self, event, voice, channel)) {
      continue;
    }
    const int64_t at = ticks_at(self, event->step, event->at_s);
    switch (event->kind) {
      case QF_EVENT_NOTE_ON:
        write_lyric(self, event, at);
        smf_add_note(&self->out, at, event->channel, event->key, event->velocity);
        held[event->channel][event->key] = 1;
        break;
      case QF_EVENT_NOTE_OFF:
        smf_add_note(&self->out, at, event->channel, event->key, 0);
        held[event->channel][event->key] = 0;
        break;
      case QF_EVENT_PROGRAM:
        smf_add_program(&self->out, at, event->channel, event->program);
        break;
      case QF_EVENT_GAIN:
        smf_add_control(&self->out, at, event->channel, SMF_CONTROL_VOLUME,
                        volume_of(event->gain_db));
        break;
      case QF_EVENT_MARK:
      case QF_EVENT_CLIP:
      case QF_EVENT_END:
        break;
    }
  }
  write_ends(self, (const uint8_t(*)[N_KEYS])held);
  smf_end_track(&self->out);
}

static bool
sounds(const QfPerformance* const performance, const uint8_t channel)
{
  for (size_t i = 0; i < performance->events.n_events; ++i) {
    const QfEvent* const event = &performance->events.events[i];
    if (event->kind == QF_EVENT_NOTE_ON && event->channel == channel) {
      return true;
    }
  }
  return false;
}

QfStatus
qf_smf_write_performance(const QfScore* const       score,
                         const QfPerformance* const performance,
                         const QfSmfOptions         options,
                         void** const               data,
                         size_t* const              length,
                         QfError* const             error)
{
  const size_t  n_voices  = qf_score_n_voices(score);
  const bool    has_key   = sounds(performance, PRELUDE);
  const bool    has_count = sounds(performance, COUNT_IN);
  Writer* const self      = (Writer*)calloc(1, sizeof(Writer));
  if (!self) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while writing MIDI");
  }

  self->score       = score;
  self->performance = performance;
  self->options     = options;
  smf_begin_file(&self->out, smf_find_division(score),
                 1U + n_voices + (has_key ? 1U : 0U) + (has_count ? 1U : 0U));
  find_starts(self);
  find_leaders(self);
  write_conductor(self);
  for (size_t i = 0; i < n_voices; ++i) {
    write_track(self, qf_score_get_voice(score, i)->name, (uint8_t)i, -1);
  }
  if (has_key) {
    write_track(self, "Key prelude", QF_NO_VOICE, PRELUDE);
  }
  if (has_count) {
    write_track(self, "Count-in", QF_NO_VOICE, COUNT_IN);
  }
  const QfStatus st = smf_end_file(&self->out, data, length, error);
  free(self);
  return st;
}
