// SPDX-License-Identifier: MIT
#include "page/qf-caret.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static QfScore*
make_score(const char* const metre_text, const char* const key_text, const QfTime pickup)
{
  QfMetre metre = {0};
  QfKey   key   = {{0, 0}, QF_MAJOR};

  assert_int_equal(qf_metre_parse(metre_text, &metre, NULL), QF_OK);
  assert_int_equal(qf_key_parse(key_text, &key, NULL), QF_OK);
  QfScore* const score = qf_score_new_satb(key, metre, pickup, 2);
  assert_non_null(score);
  return score;
}

static void
put(QfScore* const    score,
    const size_t      voice,
    const QfTime      start,
    const QfTime      length,
    const char* const name)
{
  QfPitch pitch = {0, 0, 4};
  assert_int_equal(qf_pitch_parse(name, &pitch, NULL), QF_OK);
  assert_int_equal(qf_score_put_note(score, voice, start, length, pitch, QF_NO_NOTE, NULL), QF_OK);
}

static void
assert_time(const QfTime seen, const int num, const int den)
{
  assert_int_equal(seen.num, num);
  assert_int_equal(seen.den, den);
}

// common practice: note values and the dot, which adds half.
static void
test_value_and_dot_make_the_duration(void** state)
{
  (void)state;
  assert_time(qf_caret_duration((QfCaret){.value = 0}), 1, 1);
  assert_time(qf_caret_duration((QfCaret){.value = 2}), 1, 4);
  assert_time(qf_caret_duration((QfCaret){.value = 4}), 1, 16);
  assert_time(qf_caret_duration((QfCaret){.value = 1, .is_dotted = true}), 3, 4);
  assert_time(qf_caret_duration((QfCaret){.value = 3, .is_dotted = true}), 3, 16);
}

// common practice: 6/8 has two beats of a dotted quarter.
static void
test_caret_goes_by_beats_and_notes(void** state)
{
  (void)state;
  QfScore* const score = make_score("6/8", "G major", QF_TIME_ZERO);
  assert_time(qf_caret_next_stop(score, QF_TIME_ZERO), 3, 8);
  assert_time(qf_caret_next_stop(score, qf_time(3, 8)), 3, 4);
  assert_time(qf_caret_previous_stop(score, qf_time(3, 4)), 3, 8);

  put(score, 3, qf_time(1, 8), qf_time(1, 8), "G2");
  assert_time(qf_caret_next_stop(score, QF_TIME_ZERO), 1, 8);
  assert_time(qf_caret_previous_stop(score, qf_time(3, 8)), 1, 8);
  assert_time(qf_caret_next_stop(score, qf_time(3, 2)), 3, 2);
  assert_time(qf_caret_previous_stop(score, QF_TIME_ZERO), 0, 1);
  qf_score_free(score);
}

static void
test_caret_goes_by_bars_over_a_pickup(void** state)
{
  (void)state;
  QfScore* const score = make_score("3/4", "A major", qf_time(1, 4));
  assert_time(qf_caret_next_bar(score, QF_TIME_ZERO), 1, 4);
  assert_time(qf_caret_next_bar(score, qf_time(1, 4)), 1, 1);
  assert_time(qf_caret_previous_bar(score, qf_time(1, 1)), 1, 4);
  assert_time(qf_caret_previous_bar(score, qf_time(3, 4)), 1, 4);
  assert_time(qf_caret_previous_bar(score, qf_time(1, 4)), 0, 1);
  qf_score_free(score);
}

/// The pitch whose letter is typed after a note: no other octave of it is nearer
typedef struct {
  const char* before;
  const char* key;
  const char* nearest;
} NearestCase;

// common practice: at most a fourth away; the signature gives the accidental (A major: C, F, G
// sharp; Eb major: B, E, A flat).
static const NearestCase nearest_cases[] = {
  {"C4", "C major", "B3"},   {"C4", "C major", "G3"},   {"C4", "C major", "F4"},
  {"B4", "C major", "C5"},   {"A4", "A major", "C#5"},  {"A4", "A major", "F#4"},
  {"D4", "Eb major", "Eb4"}, {"G4", "Eb major", "Bb4"}, {"E4", "C major", "E4"},
};

static void
test_letter_takes_the_nearest_pitch(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(nearest_cases) / sizeof(nearest_cases[0]); ++i) {
    const NearestCase* const row   = &nearest_cases[i];
    QfScore* const           score = make_score("4/4", row->key, QF_TIME_ZERO);
    char                     text[12];
    put(score, 0, QF_TIME_ZERO, qf_time(1, 4), row->before);
    const QfCaret caret  = {0, qf_time(1, 4), 2, false};
    QfPitch       wanted = {0, 0, 4};
    assert_int_equal(qf_pitch_parse(row->nearest, &wanted, NULL), QF_OK);
    qf_pitch_write(qf_caret_nearest_pitch(score, caret, wanted.letter), text, sizeof(text));
    if (strcmp(text, row->nearest)) {
      fail_msg("%s after %s in %s: %s", row->nearest, row->before, row->key, text);
    }
    qf_score_free(score);
  }
}

static void
test_description_says_place_voice_pitch_and_value(void** state)
{
  (void)state;
  QfScore* const score = make_score("4/4", "D major", QF_TIME_ZERO);
  QfCaret        caret = {1, qf_time(5, 4), 2, false};
  char           text[240];

  put(score, 1, qf_time(5, 4), qf_time(3, 8), "F#4");
  qf_caret_describe(score, caret, QF_NAMING_ENGLISH, text, sizeof(text));
  assert_string_equal(text, "Bar 2 beat 2, Alto, F sharp 4, dotted quarter");
  caret.time = qf_time(3, 2);
  qf_caret_describe(score, caret, QF_NAMING_ENGLISH, text, sizeof(text));
  assert_string_equal(text, "Bar 2 beat 3, Alto, F sharp 4, dotted quarter, held");
  assert_int_equal(qf_score_set_fermata(score, qf_time(5, 4), true), QF_OK);
  qf_caret_describe(score, caret, QF_NAMING_ENGLISH, text, sizeof(text));
  assert_string_equal(text, "Bar 2 beat 3, Alto, F sharp 4, dotted quarter, held, fermata");
  caret.voice = 3;
  qf_caret_describe(score, caret, QF_NAMING_ENGLISH, text, sizeof(text));
  assert_string_equal(text, "Bar 2 beat 3, Bass, rest");
  qf_score_free(score);
}

// common practice: a step up the scale takes the accidental of the signature there.
static void
test_step_follows_the_signature(void** state)
{
  (void)state;
  QfKey   key   = {{0, 0}, QF_MAJOR};
  QfPitch pitch = {0, 0, 4};
  char    text[12];

  assert_int_equal(qf_key_parse("Bb major", &key, NULL), QF_OK);
  assert_int_equal(qf_pitch_parse("D4", &pitch, NULL), QF_OK);
  qf_pitch_write(qf_pitch_move_steps(pitch, 1, key), text, sizeof(text));
  assert_string_equal(text, "Eb4");
  qf_pitch_write(qf_pitch_move_steps(pitch, -2, key), text, sizeof(text));
  assert_string_equal(text, "Bb3");
  assert_int_equal(qf_pitch_parse("F#4", &pitch, NULL), QF_OK);
  qf_pitch_write(qf_pitch_move_steps(pitch, 7, key), text, sizeof(text));
  assert_string_equal(text, "F#5");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_value_and_dot_make_the_duration),
    cmocka_unit_test(test_caret_goes_by_beats_and_notes),
    cmocka_unit_test(test_caret_goes_by_bars_over_a_pickup),
    cmocka_unit_test(test_letter_takes_the_nearest_pitch),
    cmocka_unit_test(test_description_says_place_voice_pitch_and_value),
    cmocka_unit_test(test_step_follows_the_signature),
  };
  return cmocka_run_group_tests_name("caret", tests, NULL, NULL);
}
