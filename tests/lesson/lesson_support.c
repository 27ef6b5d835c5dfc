// SPDX-License-Identifier: MIT
#include "lesson_support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

QfKey
key_of(const char* const text)
{
  QfKey key = {{0, 0}, QF_MAJOR};
  assert_int_equal(qf_key_parse(text, &key, NULL), QF_OK);
  return key;
}

QfMetre
metre_of(const char* const text)
{
  QfMetre metre = {0};
  assert_int_equal(qf_metre_parse(text, &metre, NULL), QF_OK);
  return metre;
}

QfPitch
pitch_of(const char* const text)
{
  QfPitch pitch = {0, 0, 0};
  assert_int_equal(qf_pitch_parse(text, &pitch, NULL), QF_OK);
  return pitch;
}

QfTime
time_of(const char* const text)
{
  QfTime time = QF_TIME_ZERO;
  assert_int_equal(qf_time_parse(text, &time, NULL), QF_OK);
  return time;
}

QfNumeral
numeral_of(const char* const text, const QfMode mode)
{
  QfNumeral numeral = {0};
  assert_int_equal(qf_numeral_parse(text, mode, &numeral, NULL), QF_OK);
  return numeral;
}

char*
json_of(const QfLesson* const lesson)
{
  char* json = NULL;
  assert_int_equal(qf_lesson_to_json(lesson, &json, NULL), QF_OK);
  return json;
}

QfLesson*
lesson_of_json(const char* const json)
{
  QfLesson* lesson = NULL;
  QfError   error  = {0};
  if (qf_lesson_from_json(json, strlen(json), &lesson, &error)) {
    fail_msg("%s", error.text);
  }
  return lesson;
}

QfLesson*
demo_lesson(const char* const name)
{
  char path[512];
  snprintf(path, sizeof(path), "%s/resources/lessons/%s.json", QF_SOURCE_ROOT, name);

  QfLesson* lesson = NULL;
  QfError   error  = {0};
  if (qf_lesson_load(path, &lesson, &error)) {
    fail_msg("%s: %s", path, error.text);
  }
  return lesson;
}

QfLesson*
small_lesson(void)
{
  static const char* const pitches[4][4] = {{"A4", "B4", "G#4", "A4"},
                                            {"E4", "D4", "D4", "C#4"},
                                            {"C#4", "A3", "B3", "A3"},
                                            {"A3", "F#3", "E3", "A2"}};

  QfLesson* const lesson = qf_lesson_new(key_of("A major"), metre_of("4/4"), qf_time(1, 4), 4);
  assert_non_null(lesson);
  for (size_t voice = 0; voice < 4; ++voice) {
    for (size_t i = 0; i < 4; ++i) {
      const QfPitch pitch = pitch_of(pitches[voice][i]);
      assert_int_equal(
        qf_lesson_put_note(lesson, voice, qf_time((int64_t)i, 2), qf_time(1, 2), pitch, NULL, NULL),
        QF_OK);
    }
  }
  return lesson;
}
