// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SCORE_TEST_H
#define QUINTFALL_SCORE_TEST_H

#include "quintfall/score.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#define N_ITEMS(array) (sizeof(array) / sizeof((array)[0]))

/// A generator with a fixed course, so that a failing sweep repeats exactly
typedef struct {
  uint64_t state;
  uint32_t odd; ///< The one tuplet that times are drawn from, or 0 for all together
} TestRandom;

/// A number below `limit`
static inline uint32_t
random_below(TestRandom* const random, const uint32_t limit)
{
  // Constants of D. Knuth's MMIX generator, from memory
  random->state = random->state * 6364136223846793005U + 1442695040888963407U;
  return (uint32_t)(random->state >> 33U) % limit;
}

static inline QfTime
time_of(const char* const text)
{
  QfTime time = QF_TIME_ZERO;
  if (qf_time_parse(text, &time, NULL)) {
    fail_msg("not a time: %s", text);
  }
  return time;
}

static inline QfPitch
pitch_of(const char* const text)
{
  QfPitch pitch = {0, 0, 4};
  if (qf_pitch_parse(text, &pitch, NULL)) {
    fail_msg("not a pitch: %s", text);
  }
  return pitch;
}

static inline QfMetre
metre_of(const char* const text)
{
  QfMetre metre = {0};
  if (qf_metre_parse(text, &metre, NULL)) {
    fail_msg("not a metre: %s", text);
  }
  return metre;
}

static inline QfKey
key_of(const char* const text)
{
  QfKey key = {{0, 0}, QF_MAJOR};
  if (qf_key_parse(text, &key, NULL)) {
    fail_msg("not a key: %s", text);
  }
  return key;
}

/// Four empty voices
static inline QfScore*
new_score(const char* const key,
          const char* const metre,
          const char* const pickup,
          const size_t      n_bars)
{
  QfScore* const score = qf_score_new_satb(key_of(key), metre_of(metre), time_of(pickup), n_bars);
  assert_non_null(score);
  return score;
}

static inline uint32_t
put(QfScore* const    score,
    const size_t      voice,
    const char* const start,
    const char* const duration,
    const char* const pitch)
{
  uint32_t id = QF_NO_NOTE;
  assert_int_equal(qf_score_put_note(score, voice, time_of(start), time_of(duration),
                                     pitch_of(pitch), QF_NO_NOTE, &id),
                   QF_OK);
  assert_int_not_equal(id, QF_NO_NOTE);
  return id;
}

static inline void
assert_time(const QfTime time, const char* const expected)
{
  char text[48] = "";
  qf_time_write(time, text, sizeof(text));
  assert_string_equal(text, expected);
}

/// A multiple of a plain value or of a tuplet's, within `n_wholes`
static inline QfTime
random_time(TestRandom* const random, const uint32_t n_wholes)
{
  static const uint32_t mixed[] = {4, 8, 16, 32, 12, 24, 20, 28};
  const uint32_t        pure[]  = {4, 8, 16, 4 * random->odd, 8 * random->odd};
  const uint32_t        grid    = random->odd ? pure[random_below(random, N_ITEMS(pure))]
                                              : mixed[random_below(random, N_ITEMS(mixed))];
  return qf_time(random_below(random, grid * n_wholes), grid);
}

/// Write and erase at random
static inline void
scribble(QfScore* const score, TestRandom* const random, const int n_steps, const uint32_t n_wholes)
{
  for (int i = 0; i < n_steps; ++i) {
    const size_t voice    = random_below(random, (uint32_t)qf_score_n_voices(score));
    const QfTime start    = random_time(random, n_wholes);
    const QfTime duration = qf_time_add(random_time(random, 2), qf_time(1, 16));
    if (random_below(random, 5) == 0) {
      assert_int_equal(qf_score_erase(score, voice, start, qf_time_add(start, duration)), QF_OK);
    } else {
      const QfPitch pitch = {(int8_t)random_below(random, 7),
                             (int8_t)((int)random_below(random, 3) - 1),
                             (int8_t)(2 + random_below(random, 4))};
      assert_int_equal(qf_score_put_note(score, voice, start, duration, pitch, QF_NO_NOTE, NULL),
                       QF_OK);
    }
  }
}

#endif // QUINTFALL_SCORE_TEST_H
