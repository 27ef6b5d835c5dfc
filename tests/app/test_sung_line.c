// SPDX-License-Identifier: MIT
#include "input/qf-sung-line.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

// Frequencies are twelve-tone equal from A4 = 440 Hz (ISO 16): 440 * 2^((key - 69) / 12).

typedef struct {
  QfSungLine    line;
  QfSungOptions options;
  int           expected;
  size_t        n_settled;
  QfSung        last;
} Singer;

static double
hz_of(const double key)
{
  return 440.0 * exp2((key - 69.0) / 12.0);
}

static void
take(Singer* const singer, const double hz)
{
  const QfPitchFrame frame = {.hz = hz, .confidence = hz > 0.0 ? 0.95 : 0.0, .level_db = -20.0};
  singer->n_settled +=
    qf_sung_line_take(&singer->line, frame, singer->expected, singer->options, &singer->last);
}

static void
sing(Singer* const singer, const double key, const int n_frames)
{
  for (int i = 0; i < n_frames; ++i) {
    take(singer, hz_of(key));
  }
}

static void
rest(Singer* const singer, const int n_frames)
{
  for (int i = 0; i < n_frames; ++i) {
    take(singer, 0.0);
  }
}

static void
test_a_note_settles_once_held(void** const state)
{
  Singer singer = {.expected = 69};

  (void)state;
  sing(&singer, 69.0, QF_SUNG_HELD_FRAMES - 1);
  assert_int_equal(singer.n_settled, 0);
  sing(&singer, 69.0, 1);
  assert_int_equal(singer.n_settled, 1);
  assert_int_equal(singer.last.kind, QF_SUNG_IN_TUNE);

  // However long it is held, it is one note.
  sing(&singer, 69.0, 200);
  assert_int_equal(singer.n_settled, 1);
}

static void
test_a_slide_settles_nothing(void** const state)
{
  Singer singer = {.expected = 69};

  (void)state;
  for (int i = 0; i < 60; ++i) {
    take(&singer, hz_of(60.0 + 0.3 * i));
  }
  assert_int_equal(singer.n_settled, 0);
}

static void
test_another_pitch_is_the_next_note(void** const state)
{
  Singer singer = {.expected = 69};

  (void)state;
  sing(&singer, 69.0, 30);
  singer.expected = 70;
  sing(&singer, 70.0, 30);
  assert_int_equal(singer.n_settled, 2);
  assert_int_equal(singer.last.kind, QF_SUNG_IN_TUNE);
  assert_int_equal(singer.last.sung_key, 70);
}

static void
test_a_repeated_note_needs_a_breath(void** const state)
{
  Singer singer = {.expected = 64};

  (void)state;
  sing(&singer, 64.0, 40);
  rest(&singer, QF_SUNG_BREATH_FRAMES - 1);
  sing(&singer, 64.0, 40);
  assert_int_equal(singer.n_settled, 1);
  rest(&singer, QF_SUNG_BREATH_FRAMES);
  sing(&singer, 64.0, 40);
  assert_int_equal(singer.n_settled, 2);
}

static void
test_cents_are_told(void** const state)
{
  Singer sharp = {.expected = 60};
  Singer flat  = {.expected = 60};
  Singer wrong = {.expected = 60};

  (void)state;
  sing(&sharp, 60.35, 20);
  assert_int_equal(sharp.last.kind, QF_SUNG_SHARP);
  assert_float_equal(sharp.last.cents, 35.0, 0.5);
  sing(&flat, 59.65, 20);
  assert_int_equal(flat.last.kind, QF_SUNG_FLAT);
  assert_float_equal(flat.last.cents, -35.0, 0.5);
  sing(&wrong, 62.0, 20);
  assert_int_equal(wrong.last.kind, QF_SUNG_WRONG);
  assert_int_equal(wrong.last.sung_key, 62);
}

static void
test_octaves_count_by_choice(void** const state)
{
  Singer exact = {.expected = 72};
  Singer any   = {.expected = 72, .options = {.any_octave = true}};

  (void)state;
  sing(&exact, 60.0, 20);
  sing(&any, 60.0, 20);
  assert_int_equal(exact.last.kind, QF_SUNG_WRONG);
  assert_int_equal(any.last.kind, QF_SUNG_IN_TUNE);
}

/// At A4 = 415 Hz a sung 440 is nearly a semitone too high: common practice
static void
test_the_reference_pitch_counts(void** const state)
{
  Singer singer = {.expected = 69, .options = {.tuning = {.a4_hz = 415.0}}};

  (void)state;
  sing(&singer, 69.0, 20);
  assert_int_equal(singer.last.kind, QF_SUNG_WRONG);
}

/// A singer's vibrato, some five or six waves a second, half a semitone to either side
/// (Seashore, Psychology of Music, 1938; from memory)
static void
test_vibrato_is_one_note(void** const state)
{
  Singer singer = {.expected = 69};

  (void)state;
  for (int i = 0; i < 200; ++i) {
    take(&singer, hz_of(69.0 + 0.5 * sin(2.0 * M_PI * 5.5 * i * 512.0 / 44100.0)));
  }
  assert_int_equal(singer.n_settled, 1);
  assert_int_equal(singer.last.kind, QF_SUNG_IN_TUNE);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_a_note_settles_once_held),
    cmocka_unit_test(test_a_slide_settles_nothing),
    cmocka_unit_test(test_another_pitch_is_the_next_note),
    cmocka_unit_test(test_a_repeated_note_needs_a_breath),
    cmocka_unit_test(test_cents_are_told),
    cmocka_unit_test(test_octaves_count_by_choice),
    cmocka_unit_test(test_the_reference_pitch_counts),
    cmocka_unit_test(test_vibrato_is_one_note),
  };

  return cmocka_run_group_tests(tests, NULL, NULL);
}
