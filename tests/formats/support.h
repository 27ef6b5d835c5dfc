// SPDX-License-Identifier: MIT
// What the tests of the formats share.
#ifndef QUINTFALL_TESTS_FORMATS_SUPPORT_H
#define QUINTFALL_TESTS_FORMATS_SUPPORT_H

#include "quintfall/file.h"
#include "quintfall/formats.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define N_ITEMS(array) (sizeof(array) / sizeof((array)[0]))

static const char* const textbooks[] = {
  "reger-99a",        "reger-99b",        "rimsky-17b",      "rimsky-17d",
  "rimsky-23c",       "rimsky-23e",       "rimsky-23g",      "tchaikovsky-183b",
  "tchaikovsky-183d", "tchaikovsky-185b", "tchaikovsky-189", "tchaikovsky-195",
};

/// Numbers that repeat exactly: the constants of Knuth's MMIX generator
typedef struct {
  uint64_t state;
} Lcg;

static inline uint32_t
draw(Lcg* const lcg, const uint32_t n)
{
  lcg->state = lcg->state * 6364136223846793005ULL + 1442695040888963407ULL;
  return (uint32_t)(lcg->state >> 33U) % n;
}

/// Read a file of the test data (transfer full), NUL-terminated for text
static inline char*
read_file(const char* const path, size_t* const length)
{
  void*   data  = NULL;
  QfError error = {0};
  if (qf_file_read(path, &data, length, &error)) {
    fail_msg("%s", error.text);
  }
  char* const text = (char*)realloc(data, *length + 1U);
  assert_non_null(text);
  text[*length] = '\0';
  return text;
}

static inline char*
read_data(const char* const name, size_t* const length)
{
  char path[600];
  snprintf(path, sizeof(path), "%s/%s", QF_TEST_DATA, name);
  return read_file(path, length);
}

/// Read MusicXML that must be readable (transfer full)
static inline QfScore*
must_read(const void* const data, const size_t length, const char* const name)
{
  QfScore* score = NULL;
  QfError  error = {0};
  if (qf_musicxml_read(data, length, &score, NULL, &error)) {
    char message[500];
    qf_error_describe(&error, name, message, sizeof(message));
    fail_msg("%s", message);
  }
  return score;
}

/// Fill four voices of a score with notes and rests of many lengths, in any key
static inline QfScore*
random_score(Lcg* const lcg)
{
  static const int metres[][2] = {{4, 4}, {3, 4}, {2, 2}, {6, 8}, {5, 4}, {7, 8}, {12, 8}, {3, 8}};
  static const int durations[][2] = {{1, 1},  {3, 4},  {1, 2},  {3, 8}, {1, 4},  {3, 16}, {1, 8},
                                     {1, 16}, {1, 32}, {1, 12}, {1, 6}, {1, 24}, {5, 8},  {1, 20}};
  static const int registers[4]   = {36, 31, 26, 20}; // staff steps

  const size_t metre_index = draw(lcg, N_ITEMS(metres));
  QfMetre      metre;
  QfKey        key;
  assert_int_equal(QF_OK, qf_metre(metres[metre_index][0], metres[metre_index][1], &metre));
  assert_int_equal(
    QF_OK, qf_key_from_fifths((int)draw(lcg, 15) - 7, draw(lcg, 2) ? QF_MINOR : QF_MAJOR, &key));

  const QfTime   pickup = draw(lcg, 2) ? qf_time(1, metre.denominator) : QF_TIME_ZERO;
  const size_t   n_bars = 1U + draw(lcg, 6);
  QfScore* const score  = qf_score_new_satb(key, metre, pickup, n_bars);
  assert_non_null(score);

  const QfTime end = qf_score_get_end(score);
  for (size_t voice = 0; voice < 4U; ++voice) {
    QfTime here = QF_TIME_ZERO;
    while (qf_time_compare(here, end) < 0) {
      const size_t index    = draw(lcg, N_ITEMS(durations));
      QfTime       duration = qf_time(durations[index][0], durations[index][1]);
      duration              = qf_time_min(duration, qf_time_sub(end, here));
      if (draw(lcg, 5)) {
        const QfPitch pitch =
          qf_pitch_from_step(registers[voice] + (int)draw(lcg, 9) - 4, (int)draw(lcg, 5) - 2);
        assert_int_equal(QF_OK,
                         qf_score_put_note(score, voice, here, duration, pitch, QF_NO_NOTE, NULL));
      }
      here = qf_time_add(here, duration);
    }
  }
  for (int i = (int)draw(lcg, 4); i > 0; --i) {
    const size_t voice = draw(lcg, 4);
    const size_t n     = qf_score_n_notes(score, voice);
    if (n) {
      const QfTime start = qf_score_get_note(score, voice, draw(lcg, (uint32_t)n))->start;
      assert_int_equal(QF_OK, qf_score_set_fermata(score, start, true));
    }
  }
  return score;
}

#endif // QUINTFALL_TESTS_FORMATS_SUPPORT_H
