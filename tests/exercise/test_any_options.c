// SPDX-License-Identifier: MIT

/// Options drawn at random, sensible or not: an exercise that holds, or a plain refusal.

#include "quintfall/exercise.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

enum { TRIES = 60 };

static unsigned
draw(unsigned* const seed, const unsigned n)
{
  // Source of the constants: Numerical Recipes (from memory)
  *seed = *seed * 1664525U + 1013904223U;
  return (*seed >> 8U) % n;
}

static QfExerciseOptions
draw_options(unsigned* const seed)
{
  static const int  denominators[] = {2, 4, 4, 8};
  QfExerciseOptions options        = qf_exercise_options((int)draw(seed, 10), draw(seed, 100000));
  options.uses                     = draw(seed, 1U << QF_USE_N_BITS);
  options.required                 = draw(seed, 2) ? options.uses : draw(seed, 1U << QF_USE_N_BITS);
  options.applied_degrees          = draw(seed, 2) ? 0 : draw(seed, 256);
  options.inversions               = draw(seed, 8);
  options.n_chords                 = draw(seed, 2) ? 0 : draw(seed, 30);
  options.n_bars                   = draw(seed, 3) ? draw(seed, 9) : 0;
  options.rhythms                  = draw(seed, 1U << QF_RHYTHM_N_KINDS);
  options.foreign                  = draw(seed, 8);
  options.n_foreign                = draw(seed, 5);
  options.modulation               = (QfModulation)draw(seed, QF_MODULATION_N_KINDS);
  options.weights                  = (QfWeights)draw(seed, QF_WEIGHTS_N_KINDS);
  options.givens                   = (QfExerciseGivens)draw(seed, QF_GIVE_N_KINDS);
  options.n_keys                   = 0;
  for (unsigned i = 0; i < 1U + draw(seed, 3); ++i) {
    const QfMode mode = draw(seed, 2) ? QF_MAJOR : QF_MINOR;
    options.n_keys +=
      !qf_key_from_fifths((int)draw(seed, 15) - 7, mode, &options.keys[options.n_keys]);
  }
  options.n_metres = 1U + draw(seed, 3);
  for (unsigned i = 0; i < options.n_metres; ++i) {
    qf_metre((int)(1U + draw(seed, 12)), denominators[draw(seed, 4)], &options.metres[i]);
  }
  return options;
}

static void
test_any_options_give_an_exercise_or_a_reason(void** state)
{
  (void)state;
  unsigned seed   = 20261125;
  size_t   n_made = 0;
  for (int i = 0; i < TRIES; ++i) {
    const QfExerciseOptions options  = draw_options(&seed);
    QfExercise              made     = {0};
    QfFindings              findings = {0};
    QfError                 error    = {0};
    const QfStatus          st       = qf_exercise_make(&options, &made, &error);
    if (st) {
      assert_true(st == QF_ERR_RANGE || st == QF_ERR_IMPOSSIBLE);
      assert_true(*error.text);
      continue;
    }
    ++n_made;
    if (!qf_exercise_labels_hold(&made, &error)) {
      fail_msg("try %d: %s", i, error.text);
    }
    assert_int_equal(qf_check(qf_lesson_get_score(made.lesson), qf_lesson_get_labels(made.lesson),
                              QF_PROFILE_COMMON, &findings, NULL),
                     QF_OK);
    assert_int_equal(qf_findings_count(&findings, QF_SEVERITY_ERROR), 0);
    qf_findings_clear(&findings);
    qf_exercise_clear(&made);
  }
  assert_true(n_made > TRIES / 8);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_any_options_give_an_exercise_or_a_reason),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
