// SPDX-License-Identifier: MIT
// Source of every byte's place: Standard MIDI Files 1.0.
#include "smf_out.h"

#include "divisions.h"

#include "quintfall/formats.h"

#include <math.h>
#include <string.h>

enum {
  USUAL_DIVISION    = 960,
  FALLBACK_DIVISION = 30240, ///< 2^5 x 3^3 x 5 x 7: what cannot be exact is near
  MAX_DIVISION      = 32767,
  RELEASE           = 64,
  CLOCKS_PER_WHOLE  = 96, ///< MIDI clocks, 24 to a quarter note

  META_END   = 0x2F,
  META_TEMPO = 0x51,
  META_TIME  = 0x58,
  META_KEY   = 0x59,
};

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
add_delta(SmfOut* const out, const int64_t at)
{
  uint8_t       bytes[4];
  const int64_t delta   = at - out->reached;
  const size_t  n_bytes = delta <= UINT32_MAX ? qf_smf_write_vlq((uint32_t)delta, bytes) : 0U;
  out->is_too_long      = out->is_too_long || !n_bytes;
  out->reached          = at;
  qf_text_add_bytes(&out->track, (const char*)bytes, n_bytes);
}

static void
add_meta(SmfOut* const     out,
         const int64_t     at,
         const int         type,
         const void* const data,
         const size_t      length)
{
  uint8_t bytes[4];
  add_delta(out, at);
  add_byte(&out->track, 0xFF);
  add_byte(&out->track, type);
  const size_t n_bytes = qf_smf_write_vlq((uint32_t)length, bytes);
  qf_text_add_bytes(&out->track, (const char*)bytes, n_bytes);
  qf_text_add_bytes(&out->track, (const char*)data, length);
}

int
smf_find_division(const QfScore* const score)
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

void
smf_begin_file(SmfOut* const out, const int division, const size_t n_tracks)
{
  *out = (SmfOut){.division = division};
  qf_text_add(&out->file, "MThd");
  add_big_endian(&out->file, 6U, 4);
  add_big_endian(&out->file, 1U, 2);
  add_big_endian(&out->file, (uint32_t)n_tracks, 2);
  add_big_endian(&out->file, (uint32_t)division, 2);
}

QfStatus
smf_end_file(SmfOut* const out, void** const data, size_t* const length, QfError* const error)
{
  if (out->file.failed || out->is_too_long) {
    const bool no_memory = out->file.failed;
    qf_text_free(&out->file);
    return no_memory ? qf_error_set(error, QF_ERR_NO_MEM, "out of memory while writing MIDI")
                     : qf_error_set(error, QF_ERR_RANGE, "a rest is too long for a MIDI file");
  }
  *length = out->file.length;
  *data   = qf_text_take(&out->file);
  return QF_OK;
}

void
smf_begin_track(SmfOut* const out, const char* const name)
{
  out->track   = (QfText){0};
  out->reached = 0;
  smf_add_text(out, 0, SMF_META_TRACK_NAME, name);
}

void
smf_end_track(SmfOut* const out)
{
  add_meta(out, out->reached, META_END, NULL, 0U);
  qf_text_add(&out->file, "MTrk");
  add_big_endian(&out->file, (uint32_t)out->track.length, 4);
  if (out->track.failed) {
    out->file.failed = true;
  } else {
    qf_text_add_bytes(&out->file, out->track.data, out->track.length);
  }
  qf_text_free(&out->track);
}

void
smf_add_text(SmfOut* const out, const int64_t at, const int type, const char* const text)
{
  if (text[0]) {
    add_meta(out, at, type, text, strlen(text));
  }
}

void
smf_add_tempo(SmfOut* const out, const int64_t at, const double quarters_per_minute)
{
  const long    tempo   = lround(60e6 / quarters_per_minute);
  const uint8_t data[3] = {(uint8_t)(tempo >> 16), (uint8_t)((tempo >> 8) & 0xFF),
                           (uint8_t)(tempo & 0xFF)};
  add_meta(out, at, META_TEMPO, data, sizeof(data));
}

void
smf_add_key(SmfOut* const out, const int64_t at, const QfKey key)
{
  const uint8_t data[2] = {(uint8_t)(int8_t)qf_key_fifths(key), key.mode == QF_MINOR};
  add_meta(out, at, META_KEY, data, sizeof(data));
}

void
smf_add_metre(SmfOut* const out, const int64_t at, const QfMetre metre)
{
  const QfTime beat  = qf_metre_beat(metre);
  int          power = 0;
  while (1 << power < metre.denominator) {
    ++power;
  }
  const long    clocks  = lround(CLOCKS_PER_WHOLE * qf_time_to_double(beat));
  const uint8_t data[4] = {metre.numerator, (uint8_t)power, (uint8_t)(clocks ? clocks : 1), 8};
  add_meta(out, at, META_TIME, data, sizeof(data));
}

void
smf_add_note(SmfOut* const out,
             const int64_t at,
             const int     channel,
             const int     key,
             const int     velocity)
{
  add_delta(out, at);
  add_byte(&out->track, (velocity ? 0x90 : 0x80) | channel);
  add_byte(&out->track, key);
  add_byte(&out->track, velocity ? velocity : RELEASE);
}

void
smf_add_program(SmfOut* const out, const int64_t at, const int channel, const int program)
{
  add_delta(out, at);
  add_byte(&out->track, 0xC0 | channel);
  add_byte(&out->track, program);
}

void
smf_add_control(SmfOut* const out,
                const int64_t at,
                const int     channel,
                const int     control,
                const int     value)
{
  add_delta(out, at);
  add_byte(&out->track, 0xB0 | channel);
  add_byte(&out->track, control);
  add_byte(&out->track, value);
}

QfMetre
smf_sounding_metre(const QfScore* const score, const size_t index)
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
