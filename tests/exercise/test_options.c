// SPDX-License-Identifier: MIT
#include "quintfall/exercise.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void
test_lengths_metres_and_keys_are_kept(void** state)
{
  (void)state;
  const struct {
    const char*      metre;
    QfHarmonicRhythm rhythm;
    size_t           n_chords;
    size_t           n_bars;
    const char*      key;
    size_t chords; ///< By hand: bars before the last times chords a bar, and one; 5/4 is 3+2
    size_t bars;
  } rows[] = {
    {"4/4", QF_RHYTHM_BARS, 0, 4, "Eb major", 4, 4},
    {"4/4", QF_RHYTHM_HALF, 0, 4, "f# minor", 7, 4},
    {"4/4", QF_RHYTHM_BEATS, 0, 3, "C major", 9, 3},
    {"3/4", QF_RHYTHM_HALF, 0, 5, "A major", 9, 5},
    {"6/8", QF_RHYTHM_BEATS, 0, 4, "g minor", 7, 4},
    {"2/4", QF_RHYTHM_HALF, 5, 0, "Db major", 5, 3},
    {"5/4", QF_RHYTHM_BEATS, 0, 3, "B major", 5, 3},
    {"4/4", QF_RHYTHM_MIXED, 9, 4, "e minor", 9, 4},
    {"3/4", QF_RHYTHM_BARS, 6, 0, "C# major", 6, 6},
    {"4/4", QF_RHYTHM_MIXED, 4, 2, "a minor", 4, 2},
  };
  for (size_t r = 0; r < sizeof(rows) / sizeof(rows[0]); ++r) {
    QfExerciseOptions options = qf_exercise_options(4, 11);
    QfExercise        made    = {0};
    QfError           error   = {0};
    QfKey             key;
    assert_int_equal(qf_metre_parse(rows[r].metre, &options.metres[0], NULL), QF_OK);
    assert_int_equal(qf_key_parse(rows[r].key, &options.keys[0], NULL), QF_OK);
    options.n_keys   = 1;
    options.n_metres = 1;
    options.rhythms  = 1U << (unsigned)rows[r].rhythm;
    options.n_chords = rows[r].n_chords;
    options.n_bars   = rows[r].n_bars;
    options.required = 0;
    if (qf_exercise_make(&options, &made, &error)) {
      fail_msg("row %zu: %s", r, error.text);
    }
    const QfScore* const score = qf_lesson_get_score(made.lesson);
    assert_int_equal(made.n_links, rows[r].chords);
    assert_int_equal(qf_score_n_bars(score), rows[r].bars);
    assert_true(qf_metre_equals(qf_score_get_bar(score, 0)->metre, options.metres[0]));
    assert_true(qf_lesson_get_key(made.lesson, &key));
    assert_true(qf_key_equals(key, options.keys[0]));
    qf_exercise_clear(&made);
  }
}

static void
check_refused(const QfExerciseOptions options, const char* const word)
{
  QfExercise made  = {0};
  QfError    error = {0};
  assert_int_equal(qf_exercise_make(&options, &made, &error), QF_ERR_RANGE);
  if (!strstr(error.text, word)) {
    fail_msg("\"%s\" does not say \"%s\"", error.text, word);
  }
}

static void
test_contradictions_are_refused(void** state)
{
  (void)state;
  QfExerciseOptions options = qf_exercise_options(3, 1);
  options.n_chords          = 2;
  check_refused(options, "3 to 64");
  options.n_chords = 40;
  check_refused(options, "bars of 4/4 hold");
  options        = qf_exercise_options(3, 1);
  options.n_bars = 0;
  check_refused(options, "how many");
  options        = qf_exercise_options(3, 1);
  options.n_keys = 0;
  check_refused(options, "keys");
  options       = qf_exercise_options(3, 1);
  options.level = 9;
  check_refused(options, "level");
  options          = qf_exercise_options(3, 1);
  options.required = QF_USE_NEAPOLITAN;
  check_refused(options, "required");
  options          = qf_exercise_options(3, 1);
  options.uses     = QF_USE_CHAINS;
  options.required = 0;
  check_refused(options, "chains");
  options       = qf_exercise_options(3, 1);
  options.tempo = 5.0;
  check_refused(options, "tempo");
  options          = qf_exercise_options(8, 1);
  options.n_bars   = 0;
  options.n_chords = 5;
  check_refused(options, "leave a key");
  options.n_chords   = 9;
  options.modulation = QF_MODULATION_RETURN;
  check_refused(options, "come home");
  options            = qf_exercise_options(8, 1);
  options.n_bars     = 10;
  options.rhythms    = 1U << QF_RHYTHM_BARS;
  options.modulation = QF_MODULATION_RETURN;
  check_refused(options, "come home");
  options          = qf_exercise_options(3, 1);
  options.n_metres = 0;
  check_refused(options, "metres");
  options         = qf_exercise_options(3, 1);
  options.rhythms = 0;
  check_refused(options, "how often");
  // The seventh degree of major bears a diminished triad, which nothing is the dominant of.
  // Rule: OMT "Applied chords".
  options                 = qf_exercise_options(4, 1);
  options.n_keys          = 1;
  options.keys[0]         = (QfKey){{0, 0}, QF_MAJOR};
  options.applied_degrees = 1U << 7U;
  check_refused(options, "degrees");
}

static void
test_what_cannot_be_made_is_told(void** state)
{
  (void)state;
  // Three chords cannot hold a chain of two applied dominants and a cadence.
  QfExerciseOptions options = qf_exercise_options(5, 1);
  QfExercise        made    = {0};
  QfError           error   = {0};
  options.n_chords          = 3;
  options.n_bars            = 0;
  options.required          = QF_USE_CHAINS;
  assert_int_equal(qf_exercise_make(&options, &made, &error), QF_ERR_IMPOSSIBLE);
  assert_non_null(strstr(error.text, "allow more"));
}

static void
test_uses_are_read_and_refused(void** state)
{
  (void)state;
  unsigned uses    = 0;
  unsigned degrees = 0;
  QfError  error   = {0};
  assert_int_equal(qf_uses_parse("applied/V,applied/ii,chains,neapolitan", &uses, &degrees, NULL),
                   QF_OK);
  assert_int_equal(uses, QF_USE_APPLIED | QF_USE_CHAINS | QF_USE_NEAPOLITAN);
  assert_int_equal(degrees, (1U << 5U) | (1U << 2U));
  assert_int_equal(qf_uses_parse("", &uses, &degrees, NULL), QF_OK);
  assert_int_equal(uses, 0);
  assert_int_equal(qf_uses_parse("applied,polka", &uses, &degrees, &error), QF_ERR_BAD_TEXT);
  assert_non_null(strstr(error.text, "polka"));
  assert_non_null(strstr(error.text, "augmented-sixths"));
  assert_int_equal(qf_uses_parse("mixture/V", &uses, &degrees, &error), QF_ERR_BAD_TEXT);
  assert_int_equal(qf_uses_parse("applied/x", &uses, &degrees, &error), QF_ERR_BAD_TEXT);
}

static void
test_names_are_read_back(void** state)
{
  (void)state;
  unsigned kinds = 0;
  QfError  error = {0};
  assert_int_equal(qf_exercise_foreign_parse("passing,suspension", &kinds, NULL), QF_OK);
  assert_int_equal(kinds, QF_EXERCISE_PASSING | QF_EXERCISE_SUSPENSION);
  assert_int_equal(qf_exercise_foreign_parse("trill", &kinds, &error), QF_ERR_BAD_TEXT);
  assert_non_null(strstr(error.text, "neighbour"));
  for (int i = 0; i < QF_RHYTHM_N_KINDS; ++i) {
    QfHarmonicRhythm read = QF_RHYTHM_N_KINDS;
    assert_int_equal(
      qf_harmonic_rhythm_parse(qf_harmonic_rhythm_name((QfHarmonicRhythm)i), &read, NULL), QF_OK);
    assert_int_equal(read, i);
  }
  for (int i = 0; i < QF_WEIGHTS_N_KINDS; ++i) {
    QfWeights read = QF_WEIGHTS_N_KINDS;
    assert_int_equal(qf_weights_parse(qf_weights_name((QfWeights)i), &read, NULL), QF_OK);
    assert_int_equal(read, i);
  }
  for (int i = 0; i < QF_GIVE_N_KINDS; ++i) {
    QfExerciseGivens read = QF_GIVE_N_KINDS;
    assert_int_equal(
      qf_exercise_givens_parse(qf_exercise_givens_name((QfExerciseGivens)i), &read, NULL), QF_OK);
    assert_int_equal(read, i);
  }
}

/// Each level may use what the one before it may
static void
test_levels_build_on_each_other(void** state)
{
  (void)state;
  for (int level = 2; level <= QF_EXERCISE_N_LEVELS; ++level) {
    const QfExerciseOptions before = qf_exercise_options(level - 1, 1);
    const QfExerciseOptions here   = qf_exercise_options(level, 1);
    assert_int_equal(before.uses & ~here.uses, 0);
    assert_int_equal(before.inversions & ~here.inversions, 0);
    assert_true(here.n_keys >= before.n_keys);
    assert_int_equal(qf_exercise_options_check(&here, NULL), QF_OK);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_lengths_metres_and_keys_are_kept),
    cmocka_unit_test(test_contradictions_are_refused),
    cmocka_unit_test(test_what_cannot_be_made_is_told),
    cmocka_unit_test(test_uses_are_read_and_refused),
    cmocka_unit_test(test_names_are_read_back),
    cmocka_unit_test(test_levels_build_on_each_other),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
