// SPDX-License-Identifier: MIT
#include "quintfall/practice.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/// What a run of answers must lead to
typedef struct {
  const char* label;
  size_t      n;
  int         qualities[6];
  double      easiness;
  int         intervals[6];
} Run;

// Source: P. A. Wozniak, "Optimization of learning", 1990, section 3.2 (from memory): I(1) = 1,
// I(2) = 6, I(n) = I(n-1) * EF with fractions rounded up, EF from 2.5, never below 1.3;
// EF' = EF + (0.1 - (5 - q) * (0.08 + (5 - q) * 0.02)); below 3 from the beginning, EF unchanged.
// Worked by hand from these rules.
static const Run runs[] = {
  // 4 leaves EF at 2.5: 6 * 2.5 = 15, 15 * 2.5 = 37.5, 38 * 2.5 = 95, 95 * 2.5 = 237.5
  {"always 4", 6, {4, 4, 4, 4, 4, 4}, 2.5, {1, 6, 15, 38, 95, 238}},
  // 5 adds 0.1: 2.6, 2.7, then 6 * 2.8 = 16.8, 17 * 2.9 = 49.3, 50 * 3.0 = 150
  {"always 5", 5, {5, 5, 5, 5, 5}, 3.0, {1, 6, 17, 50, 150}},
  // 3 takes 0.14: 2.36, 2.22, then 6 * 2.08 = 12.48, 13 * 1.94 = 25.22
  {"always 3", 4, {3, 3, 3, 3}, 1.94, {1, 6, 13, 26}},
  // Forgotten at the fourth: from the beginning with EF 2.5
  {"forgotten once", 6, {4, 4, 4, 2, 4, 4}, 2.5, {1, 6, 15, 1, 1, 6}},
  {"forgotten at once", 2, {0, 4}, 2.5, {1, 1}},
};

static void
test_runs_follow_the_published_scheme(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(runs) / sizeof(runs[0]); ++i) {
    QfRecall recall = qf_recall_new();
    for (size_t n = 0; n < runs[i].n; ++n) {
      recall = qf_recall_after(recall, runs[i].qualities[n]);
      if (recall.interval_days != runs[i].intervals[n]) {
        fail_msg("%s: answer %zu gives %d days, not %d", runs[i].label, n + 1U,
                 recall.interval_days, runs[i].intervals[n]);
      }
    }
    if (fabs(recall.easiness - runs[i].easiness) > 1e-9) {
      fail_msg("%s: E-factor %f, not %f", runs[i].label, recall.easiness, runs[i].easiness);
    }
  }
}

// Source: the same section also prints the change as EF' = EF - 0.8 + 0.28 * q - 0.02 * q * q
// (from memory); the two must agree.
static void
test_both_printed_formulas_agree(void** state)
{
  (void)state;
  for (int q = 3; q <= 5; ++q) {
    for (double easiness = 1.3; easiness < 3.5; easiness += 0.05) {
      const QfRecall before = {easiness, 4, 10};
      const double   other  = fmax(easiness - 0.8 + 0.28 * q - 0.02 * q * q, 1.3);
      assert_true(fabs(qf_recall_after(before, q).easiness - other) < 1e-9);
    }
  }
}

static void
test_easiness_never_falls_below_its_floor(void** state)
{
  (void)state;
  QfRecall recall = qf_recall_new();
  for (int i = 0; i < 100; ++i) {
    recall = qf_recall_after(recall, 3);
    assert_true(recall.easiness >= 1.3);
  }
}

static void
test_intervals_stay_whole_numbers_for_ever(void** state)
{
  (void)state;
  QfRecall recall = qf_recall_new();
  for (int i = 0; i < 500; ++i) {
    const QfRecall next = qf_recall_after(recall, 5);
    assert_true(next.interval_days >= recall.interval_days);
    assert_true(next.interval_days < 40000);
    recall = next;
  }
}

static void
test_quality_grows_with_what_was_right(void** state)
{
  (void)state;
  for (int asked = 1; asked <= 50; ++asked) {
    for (int right = 1; right <= asked; ++right) {
      assert_true(qf_recall_quality(right, asked) >= qf_recall_quality(right - 1, asked));
    }
    assert_int_equal(qf_recall_quality(asked, asked), 5);
    assert_int_equal(qf_recall_quality(0, asked), 0);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_runs_follow_the_published_scheme),
    cmocka_unit_test(test_both_printed_formulas_agree),
    cmocka_unit_test(test_easiness_never_falls_below_its_floor),
    cmocka_unit_test(test_intervals_stay_whole_numbers_for_ever),
    cmocka_unit_test(test_quality_grows_with_what_was_right),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
