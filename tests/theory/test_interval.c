// SPDX-License-Identifier: MIT
#include "quintfall/interval.h"
#include "tsv.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static QfNoteName
name_of(const char* const text)
{
  QfNoteName name = {0, 0};
  if (qf_note_name_parse(text, &name, NULL, NULL)) {
    fail_msg("%s is not a note name", text);
  }
  return name;
}

static QfInterval
interval(const char* const text)
{
  QfInterval result = {0, 0};
  QfError    error  = {0};
  if (qf_interval_parse(text, &result, &error)) {
    fail_msg("%s", error.text);
  }
  return result;
}

// Source: tests/data/references/interval_semitones.tsv.
static void
test_intervals_have_their_sizes(void** state)
{
  (void)state;
  const QfPitch c4  = {0, 0, 4};
  Tsv           tsv = tsv_open("interval_semitones");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const char* const text = tsv_cell(&tsv, i, "interval");
    const QfInterval  it   = interval(text);
    char              written[16];
    qf_interval_write(it, written, sizeof(written));
    assert_string_equal(written, text);
    assert_int_equal(it.steps, tsv_int(&tsv, i, "steps"));
    assert_int_equal(it.semitones, tsv_int(&tsv, i, "semitones"));

    QfPitch top = {0, 0, 0};
    assert_int_equal(qf_pitch_transpose(c4, it, &top), QF_OK);
    qf_pitch_write(top, written, sizeof(written));
    assert_string_equal(written, tsv_cell(&tsv, i, "example_up_from_C4"));

    const char* const inversion = tsv_cell(&tsv, i, "inversion_simple");
    if (strcmp(inversion, "-") != 0) {
      const QfInterval wants = interval(inversion);
      const QfInterval found = qf_interval_invert(it);
      // A rise of an octave or a unison inverts to the other
      const bool is_same = found.steps == wants.steps && found.semitones == wants.semitones;
      if (!is_same) {
        fail_msg("%s inverts to %d steps, %d semitones", text, found.steps, found.semitones);
      }
    }
  }
  tsv_free(&tsv);
}

// Source: tests/data/references/intervals.tsv, all pairs of 35 spellings. Rows marked extreme have
// no agreed name and are only asked not to crash.
static void
test_intervals_between_names(void** state)
{
  (void)state;
  Tsv    tsv    = tsv_open("intervals");
  size_t n_core = 0;
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const QfNoteName low  = name_of(tsv_cell(&tsv, i, "lower"));
    const QfNoteName high = name_of(tsv_cell(&tsv, i, "upper"));
    const QfInterval it   = qf_interval_between_names(low, high);
    char             written[16];
    char             described[64];
    qf_interval_write(it, written, sizeof(written));
    qf_interval_describe(it, described, sizeof(described));
    if (strcmp(tsv_cell(&tsv, i, "scope"), "core") != 0) {
      continue;
    }
    ++n_core;
    if (strcmp(written, tsv_cell(&tsv, i, "interval_up")) != 0 ||
        it.semitones != tsv_int(&tsv, i, "semitones")) {
      fail_msg("%s to %s: %s, expected %s", tsv_cell(&tsv, i, "lower"), tsv_cell(&tsv, i, "upper"),
               written, tsv_cell(&tsv, i, "interval_up"));
    }
  }
  assert_int_equal(n_core, 1057);
  tsv_free(&tsv);
}

static void
test_transposing_there_and_back(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("interval_semitones");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const QfInterval up   = interval(tsv_cell(&tsv, i, "interval"));
    const QfInterval down = {(int16_t)-up.steps, (int16_t)-up.semitones};
    for (int step = 14; step < 42; ++step) {
      for (int alter = -QF_MAX_ALTER; alter <= QF_MAX_ALTER; ++alter) {
        const QfPitch from = qf_pitch_from_step(step, alter);
        QfPitch       to   = {0, 0, 0};
        QfPitch       back = {0, 0, 0};
        if (!qf_pitch_transpose(from, up, &to)) {
          const QfInterval found = qf_interval_between(from, to);
          assert_int_equal(found.steps, up.steps);
          assert_int_equal(found.semitones, up.semitones);
          assert_int_equal(qf_pitch_transpose(to, down, &back), QF_OK);
          assert_true(qf_pitch_equals(from, back));
        }
      }
    }
  }
  tsv_free(&tsv);
}

static void
test_too_many_accidentals_are_refused(void** state)
{
  (void)state;
  QfPitch to = {1, 1, 1};
  assert_int_equal(qf_pitch_transpose((QfPitch){6, 4, 4}, (QfInterval){4, 8}, &to), QF_ERR_RANGE);
  assert_true(qf_pitch_equals(to, (QfPitch){1, 1, 1}));
}

typedef struct {
  const char* text;
  const char* words;
} WordCase;

// Common practice: English interval names
static const WordCase word_cases[] = {
  {"m3", "minor third"},
  {"A4", "augmented fourth"},
  {"-P5", "falling perfect fifth"},
  {"P8", "perfect octave"},
  {"M10", "major tenth"},
  {"AA4", "doubly augmented fourth"},
  {"d7", "diminished seventh"},
  {"P1", "perfect unison"},
  {"-A1", "falling augmented unison"},
  {"P15", "perfect fifteenth"},
  {"P22", "compound perfect octave"},
};

static void
test_intervals_in_words_and_in_text(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(word_cases) / sizeof(word_cases[0]); ++i) {
    const QfInterval it = interval(word_cases[i].text);
    char             words[64];
    char             text[16];
    qf_interval_describe(it, words, sizeof(words));
    qf_interval_write(it, text, sizeof(text));
    assert_string_equal(words, word_cases[i].words);
    assert_string_equal(text, word_cases[i].text);
  }
}

static void
test_what_is_no_interval_is_refused(void** state)
{
  static const char* const bad[] = {
    "",    "3",  "P3", "m5", "M4",  "X3",  "P",    "MM3",           "PP5",
    "mm3", "P0", "A",  "-",  "m3x", "m-3", "P100", "AAAAAAAAAAAA4", "33",
    "P5 "};

  (void)state;
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    QfInterval it    = {0, 0};
    QfError    error = {0};
    if (qf_interval_parse(bad[i], &it, &error) != QF_ERR_BAD_TEXT) {
      fail_msg("\"%s\" was accepted", bad[i]);
    }
    assert_true(error.text[0] != '\0');
  }
}

static void
test_simple_forms(void** state)
{
  static const char* const rows[][2] = {{"M10", "M3"}, {"P8", "P8"},    {"P15", "P8"}, {"m9", "m2"},
                                        {"A11", "A4"}, {"-P12", "-P5"}, {"P1", "P1"}};

  (void)state;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    char text[16];
    qf_interval_write(qf_interval_simple(interval(rows[i][0])), text, sizeof(text));
    assert_string_equal(text, rows[i][1]); // common practice
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_intervals_have_their_sizes),
    cmocka_unit_test(test_intervals_between_names),
    cmocka_unit_test(test_transposing_there_and_back),
    cmocka_unit_test(test_too_many_accidentals_are_refused),
    cmocka_unit_test(test_intervals_in_words_and_in_text),
    cmocka_unit_test(test_what_is_no_interval_is_refused),
    cmocka_unit_test(test_simple_forms),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
