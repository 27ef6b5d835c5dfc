// SPDX-License-Identifier: MIT
#include "quintfall/exercise.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/// One voicing, highest first
typedef struct {
  const char* pitches[QF_SATB];
} Column;

/// A lesson of one chord a half note in 4/4
static QfLesson*
lesson_of(const char* const key_text, const Column* const columns, const size_t n)
{
  QfKey   key;
  QfMetre metre;
  assert_int_equal(qf_key_parse(key_text, &key, NULL), QF_OK);
  assert_int_equal(qf_metre(4, 4, &metre), QF_OK);
  QfLesson* const lesson = qf_lesson_new(key, metre, QF_TIME_ZERO, (n + 1U) / 2U);
  assert_non_null(lesson);
  for (size_t i = 0; i < n; ++i) {
    for (size_t v = 0; v < QF_SATB; ++v) {
      QfPitch pitch;
      assert_int_equal(qf_pitch_parse(columns[i].pitches[v], &pitch, NULL), QF_OK);
      assert_int_equal(
        qf_lesson_put_note(lesson, v, qf_time((int64_t)i, 2), qf_time(1, 2), pitch, NULL, NULL),
        QF_OK);
    }
  }
  assert_int_equal(qf_lesson_set_key(lesson, &key, NULL), QF_OK);
  assert_int_equal(qf_lesson_set_tempo(lesson, 60.0, NULL), QF_OK);
  return lesson;
}

// Eb: I, V65/V (A, Eb, F, C: one chromatic note), V7, I: counted by hand.
static const Column applied[] = {
  {{"G4", "Eb4", "Bb3", "Eb3"}},
  {{"F4", "Eb4", "C4", "A2"}},
  {{"F4", "D4", "Ab3", "Bb2"}},
  {{"Eb4", "Eb4", "G3", "Eb3"}},
};

static void
test_parts_are_counted(void** state)
{
  (void)state;
  QfLesson* const lesson     = lesson_of("Eb major", applied, 4);
  QfDifficulty    difficulty = {0};
  assert_int_equal(qf_lesson_set_voice_given(lesson, 0, true, NULL), QF_OK);
  assert_int_equal(qf_difficulty_of(lesson, &difficulty, NULL), QF_OK);

  const double counts[QF_DIFFICULTY_N_PARTS] = {
    [QF_DIFFICULTY_LENGTH]     = 4,
    [QF_DIFFICULTY_VARIETY]    = 3, // I twice
    [QF_DIFFICULTY_CHROMATIC]  = 1,
    [QF_DIFFICULTY_APPLIED]    = 1,
    [QF_DIFFICULTY_SEVENTHS]   = 2,
    [QF_DIFFICULTY_INVERSIONS] = 1,
    // Soprano by step throughout; bass Eb down to A (diminished fifth), A-Bb step, Bb up to Eb
    [QF_DIFFICULTY_LEAPS]     = 2,
    [QF_DIFFICULTY_SIGNATURE] = 3,
    // Four half notes, a quarter note a second: four chords in eight seconds
    [QF_DIFFICULTY_PACE]   = 30,
    [QF_DIFFICULTY_GIVENS] = 75, // Three voices of four
  };
  double sum = 0.0;
  for (int p = 0; p < QF_DIFFICULTY_N_PARTS; ++p) {
    if (fabs(difficulty.counts[p] - counts[p]) > 1e-9) {
      fail_msg("%s: %f", qf_difficulty_part_name((QfDifficultyPart)p), difficulty.counts[p]);
    }
    sum += difficulty.points[p];
  }
  assert_true(fabs(sum - difficulty.total) < 1e-9);
  qf_lesson_free(lesson);
}

// Minor counts two signs more, and its raised seventh degree is no chromatic note.
static void
test_raised_degrees_of_minor_are_not_chromatic(void** state)
{
  (void)state;
  static const Column plain[] = {
    {{"A4", "E4", "C4", "A2"}},
    {{"G#4", "E4", "B3", "E3"}},
    {{"A4", "E4", "C4", "A2"}},
  };
  QfLesson* const lesson     = lesson_of("a minor", plain, 3);
  QfDifficulty    difficulty = {0};
  assert_int_equal(qf_difficulty_of(lesson, &difficulty, NULL), QF_OK);
  assert_true(difficulty.counts[QF_DIFFICULTY_CHROMATIC] == 0.0);
  assert_true(difficulty.counts[QF_DIFFICULTY_SIGNATURE] == 2.0);
  qf_lesson_free(lesson);
}

/**
   Spearman's rho without ties in the second variable, by its textbook formula for
   levels of equal numbers: the mean rank of each level must rise.
*/
static void
test_difficulty_rises_with_level(void** state)
{
  (void)state;
  enum { EACH = 8, N = QF_EXERCISE_N_LEVELS * EACH };
  double totals[N];
  int    levels[N];
  for (int i = 0; i < N; ++i) {
    QfExercise made             = {0};
    levels[i]                   = i % QF_EXERCISE_N_LEVELS + 1;
    const QfExerciseOptions ask = qf_exercise_options(levels[i], (uint64_t)i + 500U);
    assert_int_equal(qf_exercise_make(&ask, &made, NULL), QF_OK);
    totals[i] = made.difficulty.total;
    qf_exercise_clear(&made);
  }

  // Pearson's coefficient of the ranks, tied levels sharing their mean rank
  double sxy = 0.0;
  double sxx = 0.0;
  double syy = 0.0;
  for (int i = 0; i < N; ++i) {
    double below = 0.0;
    for (int j = 0; j < N; ++j) {
      below += j != i ? (totals[j] < totals[i]) + 0.5 * (totals[j] == totals[i]) : 0.0;
    }
    const double x = (levels[i] - 1) * EACH + 0.5 * (EACH - 1) - 0.5 * (N - 1);
    const double y = below - 0.5 * (N - 1);
    sxy += x * y;
    sxx += x * x;
    syy += y * y;
  }
  const double rho = sxy / sqrt(sxx * syy);
  print_message("rho %.3f\n", rho);
  assert_true(rho > 0.85);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_parts_are_counted),
    cmocka_unit_test(test_raised_degrees_of_minor_are_not_chromatic),
    cmocka_unit_test(test_difficulty_rises_with_level),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
