// SPDX-License-Identifier: MIT
#include "study_support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

QfTime
time_of(const char* const text)
{
  QfTime time = QF_TIME_ZERO;
  if (qf_time_parse(text, &time, NULL)) {
    fail_msg("%s is no time", text);
  }
  return time;
}

QfPitch
pitch_of(const char* const text)
{
  QfPitch pitch = {0, 0, 0};
  if (qf_pitch_parse(text, &pitch, NULL)) {
    fail_msg("%s is no pitch", text);
  }
  return pitch;
}

QfKey
key_of(const char* const text)
{
  QfKey key = {{0, 0}, QF_MAJOR};
  assert_int_equal(qf_key_parse(text, &key, NULL), QF_OK);
  return key;
}

typedef void (*NoteFunc)(void* data, size_t voice, QfTime start, QfTime duration, QfPitch pitch);

static void
each_note(const char* text, QfTime start, const size_t voice, const NoteFunc put, void* const data)
{
  for (char word[16]; sscanf(text, " %15[^ ]", word) == 1;) {
    text += strspn(text, " ");
    text += strlen(word);
    char* const slash = strpbrk(word, "/.");
    assert_non_null(slash);
    const bool is_dotted = *slash == '.';
    *slash               = '\0';
    QfTime duration      = qf_time(1, atoi(slash + 1));
    duration             = is_dotted ? qf_time_mul(duration, qf_time(3, 2)) : duration;
    if (strcmp(word, "r")) {
      put(data, voice, start, duration, pitch_of(word));
    }
    start = qf_time_add(start, duration);
  }
}

static void
put_in_score(void* const   data,
             const size_t  voice,
             const QfTime  start,
             const QfTime  duration,
             const QfPitch pitch)
{
  assert_int_equal(qf_score_put_note((QfScore*)data, voice, start, duration, pitch, 0, NULL),
                   QF_OK);
}

static void
put_in_answer(void* const   data,
              const size_t  voice,
              const QfTime  start,
              const QfTime  duration,
              const QfPitch pitch)
{
  QfError error = {0};
  if (qf_answer_put_note((QfAnswer*)data, voice, start, duration, pitch, NULL, &error)) {
    fail_msg("%s", error.text);
  }
}

typedef void (*WordFunc)(void* data, QfTime start, const char* word);

/// Take "0 I; 1/4 V7/V" apart
static void
each_word(const char* text, const WordFunc put, void* const data)
{
  char start[24];
  char word[QF_NUMERAL_TEXT_SIZE];
  while (sscanf(text, " %23s %95[^; ]", start, word) == 2) {
    put(data, time_of(start), word);
    text = strchr(text, ';');
    if (!text) {
      break;
    }
    ++text;
  }
}

static void
put_pin(void* const data, const QfTime start, const char* const word)
{
  QfLesson* const lesson = (QfLesson*)data;
  QfPin           pin    = {.start = start};
  QfError         error  = {0};
  assert_true(qf_lesson_get_key(lesson, &pin.key));
  if (qf_numeral_parse(word, pin.key.mode, &pin.numeral, &error) ||
      qf_lesson_pin(lesson, pin, &error)) {
    fail_msg("%s: %s", word, error.text);
  }
}

QfLesson*
lesson_of(const Passage* const passage)
{
  const QfKey key   = key_of(passage->key);
  QfMetre     metre = {0};
  assert_int_equal(qf_metre_parse(passage->metre, &metre, NULL), QF_OK);
  QfScore* const score = qf_score_new_satb(key, metre, QF_TIME_ZERO, 1);
  assert_non_null(score);
  qf_score_set_title(score, "Passage");
  for (size_t v = 0; v < 4; ++v) {
    each_note(passage->voices[v], QF_TIME_ZERO, v, put_in_score, score);
  }
  QfLesson* const lesson = qf_lesson_new_from_score(score);
  assert_non_null(lesson);
  assert_int_equal(qf_lesson_set_key(lesson, &key, NULL), QF_OK);
  each_word(passage->numerals, put_pin, lesson);
  return lesson;
}

QfAnswer*
begun_answer(QfLesson* const lesson)
{
  QfAnswer* answer = NULL;
  QfError   error  = {0};
  if (qf_answer_new(lesson, &answer, &error) ||
      qf_answer_begin_attempt(answer, NOON, false, &error)) {
    fail_msg("%s", error.text);
  }
  return answer;
}

void
write_voice(QfAnswer* const   answer,
            const size_t      voice,
            const char* const start,
            const char* const text)
{
  each_note(text, time_of(start), voice, put_in_answer, answer);
}

static void
put_numeral(void* const data, const QfTime start, const char* const word)
{
  QfError error = {0};
  if (qf_answer_set_numeral((QfAnswer*)data, start, word, NULL, &error)) {
    fail_msg("%s: %s", word, error.text);
  }
}

void
write_numerals(QfAnswer* const answer, const char* const text)
{
  each_word(text, put_numeral, answer);
}

static void
put_quality(void* const data, const QfTime start, const char* const word)
{
  for (int k = 0; k < QF_CHORD_N_KINDS; ++k) {
    const QfChordKind kind = (QfChordKind)k;
    if (!strcmp(word, qf_chord_kind_id(kind))) {
      assert_int_equal(qf_answer_set_quality((QfAnswer*)data, start, &kind, NULL), QF_OK);
      return;
    }
  }
  fail_msg("%s is no quality", word);
}

void
write_qualities(QfAnswer* const answer, const char* const text)
{
  each_word(text, put_quality, answer);
}

static void
write_score_voice(QfAnswer* const answer, const QfLesson* const lesson, const size_t voice)
{
  const QfScore* const score = qf_lesson_get_score(lesson);
  for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note = qf_score_get_note(score, voice, i);
    if (!qf_lesson_is_given(lesson, note->id)) {
      put_in_answer(answer, voice, note->start, note->duration, note->pitch);
    }
  }
}

static void
write_links(QfAnswer* const answer, QfLesson* const lesson, const QfLayer layer)
{
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(labels, i);
    char                 numeral[QF_NUMERAL_TEXT_SIZE];
    qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
    if (layer == QF_LAYER_NUMERAL) {
      assert_int_equal(qf_answer_set_numeral(answer, link->start, numeral, &link->key, NULL),
                       QF_OK);
    } else {
      assert_int_equal(qf_answer_set_quality(answer, link->start, &link->chord.kind, NULL), QF_OK);
    }
  }
}

void
write_layer(QfAnswer* const answer, QfLesson* const lesson, const QfLayer layer)
{
  const size_t last = qf_score_n_voices(qf_lesson_get_score(lesson)) - 1U;
  switch (layer) {
    case QF_LAYER_SOPRANO:
      write_score_voice(answer, lesson, 0);
      break;
    case QF_LAYER_BASS:
      write_score_voice(answer, lesson, last);
      break;
    case QF_LAYER_INNER:
      for (size_t v = 1; v < last; ++v) {
        write_score_voice(answer, lesson, v);
      }
      break;
    default:
      write_links(answer, lesson, layer);
      break;
  }
}

void
write_solution(QfAnswer* const answer, QfLesson* const lesson)
{
  for (int l = 0; l < QF_LAYER_N_KINDS; ++l) {
    write_layer(answer, lesson, (QfLayer)l);
  }
}

char*
json_of_answer(const QfAnswer* const answer)
{
  char* json = NULL;
  assert_int_equal(qf_answer_to_json(answer, &json, NULL), QF_OK);
  return json;
}

QfAnswer*
answer_of_json(const char* const json)
{
  QfAnswer* answer = NULL;
  QfError   error  = {0};
  if (qf_answer_from_json(json, strlen(json), &answer, &error)) {
    fail_msg("%s", error.text);
  }
  return answer;
}
