// SPDX-License-Identifier: MIT
#include "quintfall/answer.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

// FNV-1a, 64 bits. Source: Fowler, Noll, Vo; constants of draft-eastlake-fnv.
#define FNV_BASIS UINT64_C(0xcbf29ce484222325)
#define FNV_PRIME UINT64_C(0x100000001b3)

static uint64_t
add_byte(const uint64_t hash, const unsigned byte)
{
  return (hash ^ (byte & 0xFFU)) * FNV_PRIME;
}

/// Eight bytes, the lowest first, on every machine
static uint64_t
add_number(uint64_t hash, const int64_t number)
{
  for (unsigned shift = 0; shift < 64U; shift += 8U) {
    hash = add_byte(hash, (unsigned)((uint64_t)number >> shift));
  }
  return hash;
}

static uint64_t
add_time(const uint64_t hash, const QfTime time)
{
  return add_number(add_number(hash, time.num), time.den);
}

static uint64_t
add_text(uint64_t hash, const char* const text)
{
  for (size_t i = 0; i <= strlen(text); ++i) {
    hash = add_byte(hash, (unsigned char)text[i]);
  }
  return hash;
}

static uint64_t
add_key(uint64_t hash, const QfKey key)
{
  hash = add_number(hash, key.mode);
  return add_number(add_number(hash, key.tonic.letter), key.tonic.alter);
}

static uint64_t
add_voice(uint64_t hash, const QfLesson* const lesson, const size_t voice)
{
  const QfScore* const score   = qf_lesson_get_score(lesson);
  const size_t         n_notes = qf_score_n_notes(score, voice);
  hash                         = add_number(hash, (int64_t)n_notes);
  for (size_t i = 0; i < n_notes; ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    hash                     = add_byte(hash, (unsigned)note->pitch.letter);
    hash                     = add_byte(hash, (unsigned)note->pitch.alter);
    hash                     = add_byte(hash, (unsigned)note->pitch.octave);
    hash                     = add_byte(hash, qf_lesson_is_given(lesson, note->id));
    hash                     = add_time(add_time(hash, note->start), note->duration);
  }
  return hash;
}

static uint64_t
add_bar(uint64_t hash, const QfBar* const bar)
{
  hash = add_time(hash, bar->length);
  hash = add_byte(add_byte(hash, bar->metre.numerator), bar->metre.denominator);
  for (int i = 0; i < bar->metre.n_groups; ++i) {
    hash = add_byte(hash, bar->metre.groups[i]);
  }
  return hash;
}

static uint64_t
add_pin(uint64_t hash, const QfPin* const pin)
{
  char numeral[QF_NUMERAL_TEXT_SIZE];
  qf_numeral_write(&pin->numeral, pin->key.mode, numeral, sizeof(numeral));
  hash = add_time(add_key(hash, pin->key), pin->start);
  return add_text(hash, numeral);
}

void
qf_lesson_digest(const QfLesson* const lesson, char digest[QF_ANSWER_DIGEST_SIZE])
{
  const QfScore* const score = qf_lesson_get_score(lesson);
  QfKey                key   = {{0, 0}, QF_MAJOR};
  uint64_t             hash  = FNV_BASIS;
  if (qf_lesson_get_key(lesson, &key)) {
    hash = add_key(hash, key);
  }
  for (size_t i = 0; i < qf_score_n_bars(score); ++i) {
    hash = add_bar(hash, qf_score_get_bar(score, i));
  }
  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    hash = add_voice(hash, lesson, v);
  }
  for (size_t i = 0; i < qf_lesson_n_pins(lesson); ++i) {
    hash = add_pin(hash, qf_lesson_get_pin(lesson, i));
  }
  snprintf(digest, QF_ANSWER_DIGEST_SIZE, "%016" PRIx64, hash);
}
