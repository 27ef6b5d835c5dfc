// SPDX-License-Identifier: MIT
#include "page/qf-note-entry.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static QfPitch
pitch_of(const char* const text)
{
  QfPitch pitch = {0, 0, 4};
  if (qf_pitch_parse(text, &pitch, NULL)) {
    fail_msg("%s is no pitch", text);
  }
  return pitch;
}

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

// common practice: the letters of the notes, counted from C as scientific pitch notation does.
static void
test_letters_of_the_notes(void** state)
{
  static const char names[] = "CDEFGAB";

  (void)state;
  for (int i = 0; i < 7; ++i) {
    const char name[2] = {names[i], '\0'};
    assert_int_equal(qf_entry_letter(name), i);
  }
  assert_int_equal(qf_entry_letter("H"), -1);
  assert_int_equal(qf_entry_letter("c"), -1);
  assert_int_equal(qf_entry_letter(""), -1);
}

typedef struct {
  const char* command;
  int         steps;
} StepsCase;

// common practice: an octave is eight degrees counted inclusively, so seven steps away.
static const StepsCase steps_cases[] = {
  {"step-up", 1}, {"step-down", -1}, {"octave-up", 7}, {"octave-down", -7}, {"sharpen", 0}, {"", 0},
};

static void
test_steps_of_the_commands(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(steps_cases) / sizeof(steps_cases[0]); ++i) {
    if (qf_entry_steps(steps_cases[i].command) != steps_cases[i].steps) {
      fail_msg("%s: %d", steps_cases[i].command, qf_entry_steps(steps_cases[i].command));
    }
  }
}

typedef struct {
  const char* command;
  const char* from;
  const char* to; ///< NULL where it cannot be written
} AlterCase;

// common practice: accidentals go from the double flat to the double sharp, and no farther.
static const AlterCase alter_cases[] = {
  {"sharpen", "F4", "F#4"},   {"sharpen", "Bb3", "B3"},  {"sharpen", "F#4", "F##4"},
  {"sharpen", "F##4", NULL},  {"flatten", "B4", "Bb4"},  {"flatten", "F#2", "F2"},
  {"flatten", "Eb5", "Ebb5"}, {"flatten", "Ebb5", NULL},
};

static void
test_accidentals_go_by_semitones(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(alter_cases) / sizeof(alter_cases[0]); ++i) {
    const AlterCase* const row    = &alter_cases[i];
    QfPitch                result = {0, 0, 0};
    QfError                error  = {0};
    const QfStatus         st = qf_entry_alter(row->command, pitch_of(row->from), &result, &error);
    if ((st == QF_OK) != (row->to != NULL) ||
        (row->to && !qf_pitch_equals(result, pitch_of(row->to)))) {
      fail_msg("%s %s", row->command, row->from);
    }
    if (!row->to) {
      assert_non_null(strstr(error.text, "double"));
    }
  }
}

static void
test_values_stay_among_those_that_are_written(void** state)
{
  (void)state;
  assert_int_equal(qf_entry_value(-1), 0);
  assert_int_equal(qf_entry_value(0), 0);
  assert_int_equal(qf_entry_value(5), 5);
  assert_int_equal(qf_entry_value(9), 5);
}

typedef struct {
  const char* command;
  QfTime      from;
  QfTime      to;
} MoveCase;

// common practice: in 3/4 over a pickup of a quarter the beats lie a quarter apart, and bar 1
// begins after the pickup; two bars end after seven quarters.
static const MoveCase move_cases[] = {
  {"caret-right", {0, 1}, {1, 4}},     {"caret-left", {1, 2}, {1, 4}},
  {"caret-bar-right", {0, 1}, {1, 4}}, {"caret-bar-left", {1, 1}, {1, 4}},
  {"caret-start", {1, 1}, {0, 1}},     {"caret-end", {0, 1}, {7, 4}},
  {"step-up", {1, 2}, {1, 2}},
};

static void
test_the_caret_goes_where_its_commands_say(void** state)
{
  QfScore* const score = make_score("3/4", "A major", qf_time(1, 4));

  (void)state;
  assert_int_equal(qf_time_compare(qf_score_get_end(score), qf_time(7, 4)), 0);
  for (size_t i = 0; i < sizeof(move_cases) / sizeof(move_cases[0]); ++i) {
    const MoveCase* const row = &move_cases[i];
    if (qf_time_compare(qf_entry_move(score, row->command, row->from), row->to)) {
      fail_msg("row %zu: %s", i, row->command);
    }
  }
  qf_score_free(score);
}

static void
test_the_top_voice_has_none_above(void** state)
{
  (void)state;
  assert_int_equal(qf_entry_voice_beside("voice-up", 2), 1);
  assert_int_equal(qf_entry_voice_beside("voice-up", 0), 0);
  assert_int_equal(qf_entry_voice_beside("voice-down", 0), 1);
}

typedef struct {
  const char* key;
  const char* line; ///< The natural note of a line or space
  const char* sounds;
} PressCase;

// common practice: order of sharps F C G, of flats B E A; a signature holds in every octave.
static const PressCase press_cases[] = {
  {"C major", "F4", "F4"},  {"A major", "F4", "F#4"}, {"A major", "G2", "G#2"},
  {"F minor", "A3", "Ab3"}, {"F minor", "G5", "G5"},  {"D minor", "B1", "Bb1"},
};

static void
test_a_press_takes_the_signature(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(press_cases) / sizeof(press_cases[0]); ++i) {
    const PressCase* const row   = &press_cases[i];
    QfScore* const         score = make_score("4/4", row->key, QF_TIME_ZERO);
    const QfPitch          pitch =
      qf_entry_pitch_at_step(score, qf_time(1, 2), qf_pitch_step(pitch_of(row->line)));
    if (!qf_pitch_equals(pitch, pitch_of(row->sounds))) {
      fail_msg("%s in %s", row->line, row->key);
    }
    qf_score_free(score);
  }
}

// common practice: on the lower staff of four voices tenor and bass are written, on the upper one
// soprano and alto.
static void
test_a_press_goes_to_a_voice_of_its_staff(void** state)
{
  QfScore* const score = make_score("4/4", "C major", QF_TIME_ZERO);
  const QfCaret  bass  = {3, QF_TIME_ZERO, 1, true};

  (void)state;
  QfCaret there = qf_entry_point(score, bass, 1, qf_pitch_step(pitch_of("E3")), qf_time(1, 2));
  assert_int_equal(there.voice, 3); // It is written there already
  assert_int_equal(qf_time_compare(there.time, qf_time(1, 2)), 0);
  assert_int_equal(there.value, 1);
  assert_true(there.is_dotted);
  there = qf_entry_point(score, bass, 0, qf_pitch_step(pitch_of("G5")), qf_time(1, 2));
  assert_int_equal(there.voice, 0);
  there = qf_entry_point(score, bass, 0, qf_pitch_step(pitch_of("C4")), qf_time(1, 2));
  assert_int_equal(there.voice, 1);
  qf_score_free(score);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_letters_of_the_notes),
    cmocka_unit_test(test_steps_of_the_commands),
    cmocka_unit_test(test_accidentals_go_by_semitones),
    cmocka_unit_test(test_values_stay_among_those_that_are_written),
    cmocka_unit_test(test_the_caret_goes_where_its_commands_say),
    cmocka_unit_test(test_the_top_voice_has_none_above),
    cmocka_unit_test(test_a_press_takes_the_signature),
    cmocka_unit_test(test_a_press_goes_to_a_voice_of_its_staff),
  };
  return cmocka_run_group_tests_name("note entry", tests, NULL, NULL);
}
