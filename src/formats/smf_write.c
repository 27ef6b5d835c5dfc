// SPDX-License-Identifier: MIT
// Source of every byte's place: Standard MIDI Files 1.0.
#include "divisions.h"

#include "quintfall/formats.h"
#include "quintfall/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  USUAL_DIVISION    = 960,
  FALLBACK_DIVISION = 30240, ///< 2^5 x 3^3 x 5 x 7: what cannot be exact is near
  MAX_DIVISION      = 32767,
  N_CHANNELS        = 15, ///< Sixteen without percussion
  PERCUSSION        = 9,
  VELOCITY          = 80,
  RELEASE           = 64,
  CLOCKS_PER_WHOLE  = 96, ///< MIDI clocks, 24 to a quarter note

  META_TRACK_NAME = 0x03,
  META_END        = 0x2F,
  META_TEMPO      = 0x51,
  META_TIME       = 0x58,
  META_KEY        = 0x59,
};

typedef struct {
  const QfScore* score;
  QfText         file;
  int            division; ///< Ticks per quarter note
  QfText         track;    ///< Events of the track being written
  int64_t        reached;  ///< Ticks of its last event
  bool           is_too_long;
} Writer;

static void
add_byte(QfText* const text, const int value)
{
  const char byte = (char)(uint8_t)value;
  qf_text_add_bytes(text, &byte, 1U);
}

static void
add_big_endian(QfText* const text, const uint32_t value, const int n_bytes)
{
  for (int i = n_bytes - 1; i >= 0; --i) {
    add_byte(text, (int)((value >> (8 * i)) & 0xFFU));
  }
}

/// Add the time since the last event
static void
add_delta(Writer* const writer, const int64_t at)
{
  uint8_t       bytes[4];
  const int64_t delta   = at - writer->reached;
  const size_t  n_bytes = delta <= UINT32_MAX ? qf_smf_write_vlq((uint32_t)delta, bytes) : 0U;
  writer->is_too_long   = writer->is_too_long || !n_bytes;
  writer->reached       = at;
  qf_text_add_bytes(&writer->track, (const char*)bytes, n_bytes);
}

static void
add_meta(Writer* const     writer,
         const int64_t     at,
         const int         type,
         const void* const data,
         size_t            length)
{
  uint8_t bytes[4];
  add_delta(writer, at);
  add_byte(&writer->track, 0xFF);
  add_byte(&writer->track, type);
  const size_t n_bytes = qf_smf_write_vlq((uint32_t)length, bytes);
  qf_text_add_bytes(&writer->track, (const char*)bytes, n_bytes);
  qf_text_add_bytes(&writer->track, (const char*)data, length);
}

static void
add_name(Writer* const writer, const char* const name)
{
  if (name[0]) {
    add_meta(writer, 0, META_TRACK_NAME, name, strlen(name));
  }
}

static void
begin_track(Writer* const writer)
{
  writer->track   = (QfText){0};
  writer->reached = 0;
}

static void
end_track(Writer* const writer)
{
  add_meta(writer, writer->reached, META_END, NULL, 0U);
  qf_text_add(&writer->file, "MTrk");
  add_big_endian(&writer->file, (uint32_t)writer->track.length, 4);
  if (writer->track.failed) {
    writer->file.failed = true;
  } else {
    qf_text_add_bytes(&writer->file, writer->track.data, writer->track.length);
  }
  qf_text_free(&writer->track);
}

//
// Time
//

static int64_t
ticks_of(const Writer* const writer, const QfTime time)
{
  return llround(4.0 * writer->division * qf_time_to_double(time));
}

static int
find_division(const QfScore* const score)
{
  int64_t division = USUAL_DIVISION;
  for (size_t voice = 0; voice < qf_score_n_voices(score); ++voice) {
    for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
      const QfNote* const note = qf_score_get_note(score, voice, i);
      if (!divisions_refine(&division, note->start, MAX_DIVISION) ||
          !divisions_refine(&division, note->duration, MAX_DIVISION)) {
        return FALLBACK_DIVISION;
      }
    }
  }
  return (int)division;
}

//
// The first track
//

static void
write_tempo(Writer* const writer)
{
  const long    tempo   = lround(60e6 / qf_score_get_tempo(writer->score));
  const uint8_t data[3] = {(uint8_t)(tempo >> 16), (uint8_t)((tempo >> 8) & 0xFF),
                           (uint8_t)(tempo & 0xFF)};
  add_meta(writer, 0, META_TEMPO, data, sizeof(data));
}

static void
write_key(Writer* const writer, const QfSignature* const signature)
{
  const uint8_t data[2] = {(uint8_t)(int8_t)qf_key_fifths(signature->key),
                           signature->key.mode == QF_MINOR};
  add_meta(writer, ticks_of(writer, signature->start), META_KEY, data, sizeof(data));
}

static void
write_time(Writer* const writer, const QfTime start, const QfMetre metre)
{
  const QfTime beat  = qf_metre_beat(metre);
  int          power = 0;
  while (1 << power < metre.denominator) {
    ++power;
  }
  const long    clocks  = lround(CLOCKS_PER_WHOLE * qf_time_to_double(beat));
  const uint8_t data[4] = {metre.numerator, (uint8_t)power, (uint8_t)(clocks ? clocks : 1), 8};
  add_meta(writer, ticks_of(writer, start), META_TIME, data, sizeof(data));
}

/// The time signature a bar sounds like: a pickup of one quarter is 1/4, for MIDI knows no pickups
static QfMetre
sounding_metre(const QfScore* const score, const size_t index)
{
  const QfBar* const bar = qf_score_get_bar(score, index);

  // The halves of a split bar make a whole one.
  QfTime reached = qf_time_add(bar->offset, bar->length);
  for (size_t i = index + 1U; i < qf_score_n_bars(score); ++i) {
    const QfBar* const next = qf_score_get_bar(score, i);
    if (qf_time_compare(next->offset, reached) || !next->offset.num) {
      break;
    }
    reached = qf_time_add(reached, next->length);
  }
  const bool is_second_half =
    index > 0 && bar->offset.num &&
    !qf_time_compare(bar->offset, qf_time_add(qf_score_get_bar(score, index - 1U)->offset,
                                              qf_score_get_bar(score, index - 1U)->length));
  const bool is_whole =
    (bar->offset.num == 0 || is_second_half) && !qf_time_compare(reached, qf_metre_bar(bar->metre));

  QfMetre      metre = bar->metre;
  const QfTime ratio = qf_time_mul(bar->length, (QfTime){bar->metre.denominator, 1});
  if (!is_whole && ratio.den == 1) {
    qf_metre((int)ratio.num, bar->metre.denominator, &metre);
  }
  return metre;
}

/// Tempo, metres and keys, in order of time
static void
write_conductor(Writer* const writer)
{
  const QfScore* const score = writer->score;
  begin_track(writer);
  add_name(writer, qf_score_get_title(score));
  write_tempo(writer);

  size_t  next_key = 0U;
  QfMetre metre    = {0};
  for (size_t i = 0; i < qf_score_n_bars(score); ++i) {
    const QfBar* const bar      = qf_score_get_bar(score, i);
    const QfMetre      sounding = sounding_metre(score, i);
    for (; next_key < qf_score_n_signatures(score); ++next_key) {
      const QfSignature* const signature = qf_score_get_signature(score, next_key);
      if (qf_time_compare(signature->start, bar->start) >= 0) {
        break;
      }
      write_key(writer, signature);
    }
    if (i == 0U || sounding.numerator != metre.numerator ||
        sounding.denominator != metre.denominator) {
      write_time(writer, bar->start, sounding);
      metre = sounding;
    }
  }
  for (; next_key < qf_score_n_signatures(score); ++next_key) {
    write_key(writer, qf_score_get_signature(score, next_key));
  }
  end_track(writer);
}

//
// Voices
//

static void
write_voice(Writer* const writer, const size_t voice)
{
  const int slot    = (int)(voice % N_CHANNELS);
  const int channel = slot + (slot >= PERCUSSION);

  begin_track(writer);
  add_name(writer, qf_score_get_voice(writer->score, voice)->name);
  for (size_t i = 0; i < qf_score_n_notes(writer->score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(writer->score, voice, i);
    const int           key  = qf_pitch_midi(note->pitch);
    add_delta(writer, ticks_of(writer, note->start));
    add_byte(&writer->track, 0x90 | channel);
    add_byte(&writer->track, key);
    add_byte(&writer->track, VELOCITY);
    add_delta(writer, ticks_of(writer, qf_time_add(note->start, note->duration)));
    add_byte(&writer->track, 0x80 | channel);
    add_byte(&writer->track, key);
    add_byte(&writer->track, RELEASE);
  }
  end_track(writer);
}

QfStatus
qf_smf_write(const QfScore* const score,
             void** const         data,
             size_t* const        length,
             QfError* const       error)
{
  const size_t n_voices = qf_score_n_voices(score);
  Writer       writer   = {.score = score, .division = find_division(score)};

  qf_text_add(&writer.file, "MThd");
  add_big_endian(&writer.file, 6U, 4);
  add_big_endian(&writer.file, 1U, 2);
  add_big_endian(&writer.file, (uint32_t)n_voices + 1U, 2);
  add_big_endian(&writer.file, (uint32_t)writer.division, 2);
  write_conductor(&writer);
  for (size_t i = 0; i < n_voices; ++i) {
    write_voice(&writer, i);
  }

  if (writer.file.failed || writer.is_too_long) {
    const bool no_memory = writer.file.failed;
    qf_text_free(&writer.file);
    return no_memory ? qf_error_set(error, QF_ERR_NO_MEM, "out of memory while writing MIDI")
                     : qf_error_set(error, QF_ERR_RANGE, "a rest is too long for a MIDI file");
  }
  *length = writer.file.length;
  *data   = qf_text_take(&writer.file);
  return QF_OK;
}
