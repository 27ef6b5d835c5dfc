// SPDX-License-Identifier: MIT
#include "quintfall/answer.h"

#include "quintfall/text.h"

#include <inttypes.h>
#include <stdio.h>

static void
add_time(QfText* const text, const QfTime time)
{
  char buffer[48];
  qf_time_write(time, buffer, sizeof(buffer));
  qf_text_addf(text, " %s", buffer);
}

static void
add_voice(QfText* const text, const QfLesson* const lesson, const size_t voice)
{
  const QfScore* const score = qf_lesson_get_score(lesson);
  qf_text_add(text, "voice\n");
  for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    char                pitch[16];
    qf_pitch_write(note->pitch, pitch, sizeof(pitch));
    qf_text_add(text, pitch);
    add_time(text, note->start);
    add_time(text, note->duration);
    qf_text_add(text, qf_lesson_is_given(lesson, note->id) ? " given\n" : "\n");
  }
}

static void
add_pins(QfText* const text, const QfLesson* const lesson)
{
  for (size_t i = 0; i < qf_lesson_n_pins(lesson); ++i) {
    const QfPin* const pin = qf_lesson_get_pin(lesson, i);
    char               key[24];
    char               numeral[QF_NUMERAL_TEXT_SIZE];
    qf_key_write(pin->key, key, sizeof(key));
    qf_numeral_write(&pin->numeral, pin->key.mode, numeral, sizeof(numeral));
    qf_text_addf(text, "%s %s", key, numeral);
    add_time(text, pin->start);
    qf_text_add(text, "\n");
  }
}

/// FNV-1a, 64 bits. Source: Fowler, Noll, Vo; constants of draft-eastlake-fnv.
static uint64_t
fnv1a(const char* const bytes, const size_t n_bytes)
{
  uint64_t hash = UINT64_C(0xcbf29ce484222325);
  for (size_t i = 0; i < n_bytes; ++i) {
    hash = (hash ^ (unsigned char)bytes[i]) * UINT64_C(0x100000001b3);
  }
  return hash;
}

void
qf_lesson_digest(const QfLesson* const lesson, char digest[QF_ANSWER_DIGEST_SIZE])
{
  const QfScore* const score = qf_lesson_get_score(lesson);
  QfText               text  = {0};
  QfKey                key   = {{0, 0}, QF_MAJOR};
  if (qf_lesson_get_key(lesson, &key)) {
    char name[24];
    qf_key_write(key, name, sizeof(name));
    qf_text_add(&text, name);
  }
  for (size_t i = 0; i < qf_score_n_bars(score); ++i) {
    const QfBar* const bar = qf_score_get_bar(score, i);
    char               metre[48];
    qf_metre_write(bar->metre, metre, sizeof(metre));
    qf_text_addf(&text, "\n%s", metre);
    add_time(&text, bar->length);
  }
  qf_text_add(&text, "\n");
  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    add_voice(&text, lesson, v);
  }
  add_pins(&text, lesson);
  snprintf(digest, QF_ANSWER_DIGEST_SIZE, "%016" PRIx64, fnv1a(text.data, text.length));
  qf_text_free(&text);
}
