// SPDX-License-Identifier: MIT
#include "random.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

// Source: test values of SplitMix64 with seed 1234567 that Rosetta Code prints under
// "Pseudo-random numbers/Splitmix64" (from memory).
static const uint64_t published[] = {
  UINT64_C(6457827717110365317), UINT64_C(3203168211198807973),  UINT64_C(9817491932198370423),
  UINT64_C(4593380528125082431), UINT64_C(16408922859458223821),
};

static void
test_the_generator_gives_the_published_numbers(void** state)
{
  (void)state;
  QfRandom random = random_new(1234567);
  for (size_t i = 0; i < sizeof(published) / sizeof(published[0]); ++i) {
    assert_true(random_next(&random) == published[i]);
  }
}

/// Chi-squared of `n` cells; the 0.999 quantile for 9 degrees of freedom is 27.9 (printed tables)
static void
test_small_numbers_are_drawn_evenly(void** state)
{
  (void)state;
  QfRandom random    = random_new(1);
  int      cells[10] = {0};
  double   chi       = 0.0;
  for (int i = 0; i < 100000; ++i) {
    ++cells[random_below(&random, 10)];
  }
  for (int i = 0; i < 10; ++i) {
    chi += (cells[i] - 10000.0) * (cells[i] - 10000.0) / 10000.0;
  }
  assert_true(chi < 27.9);
}

static void
test_weights_are_kept(void** state)
{
  (void)state;
  const uint64_t weights[] = {1, 0, 3};
  const uint64_t none[]    = {0, 0};
  QfRandom       random    = random_new(2);
  int            cells[3]  = {0};
  for (int i = 0; i < 40000; ++i) {
    ++cells[random_weighted(&random, weights, 3)];
  }
  assert_int_equal(cells[1], 0);
  // Binomial: one standard deviation is 87; four of them
  assert_in_range(cells[0], 10000 - 350, 10000 + 350);
  assert_int_equal(random_weighted(&random, none, 2), 2);
}

static void
test_neighbouring_seeds_differ(void** state)
{
  (void)state;
  for (uint64_t i = 1; i < 1000; ++i) {
    assert_true(random_seed(7, i) != random_seed(7, i - 1U));
    assert_true(random_seed(i, 0) != random_seed(i - 1U, 0));
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_the_generator_gives_the_published_numbers),
    cmocka_unit_test(test_small_numbers_are_drawn_evenly),
    cmocka_unit_test(test_weights_are_kept),
    cmocka_unit_test(test_neighbouring_seeds_differ),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
