// SPDX-License-Identifier: MIT
#include "score_test.h"

#include <string.h>

typedef struct {
  const char* a;
  const char* b;
  const char* sum;
  const char* difference;
  const char* product;
  const char* quotient;
  int         order;
} TimeCase;

// Arithmetic of fractions, worked by hand
static const TimeCase time_cases[] = {
  {"1/4", "1/4", "1/2", "0", "1/16", "1", 0},
  {"1/3", "1/4", "7/12", "1/12", "1/12", "4/3", 1},
  {"3/8", "5/6", "29/24", "-11/24", "5/16", "9/20", -1},
  {"0", "7", "7", "-7", "0", "0", -1},
  {"-1/2", "1/3", "-1/6", "-5/6", "-1/6", "-3/2", -1},
  {"1000000000", "1/1000000000", "1000000000000000001/1000000000", "999999999999999999/1000000000",
   "1", "1000000000000000000", 1},
};

static void
test_fractions_are_exact(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(time_cases); ++i) {
    const TimeCase* const row = &time_cases[i];
    const QfTime          a   = time_of(row->a);
    const QfTime          b   = time_of(row->b);
    const int             c   = qf_time_compare(a, b);

    assert_time(qf_time_add(a, b), row->sum);
    assert_time(qf_time_sub(a, b), row->difference);
    assert_time(qf_time_mul(a, b), row->product);
    assert_time(qf_time_div(a, b), row->quotient);
    assert_int_equal((c > 0) - (c < 0), row->order);
    assert_time(qf_time_min(a, b), row->order <= 0 ? row->a : row->b);
    assert_time(qf_time_max(a, b), row->order >= 0 ? row->a : row->b);
  }
}

static void
test_making_a_time_reduces_it(void** const state)
{
  (void)state;
  assert_time(qf_time(6, 8), "3/4");
  assert_time(qf_time(6, -8), "-3/4");
  assert_time(qf_time(-6, -8), "3/4");
  assert_time(qf_time(0, -5), "0");
  assert_time(qf_time(INT64_MIN, INT64_MIN), "1");
  assert_time(qf_time(INT64_MIN, 2), "-4611686018427387904");
}

static void
test_floor_goes_down(void** const state)
{
  (void)state;
  assert_time(qf_time_floor(qf_time(7, 8), qf_time(1, 4)), "3/4");
  assert_time(qf_time_floor(qf_time(3, 4), qf_time(1, 4)), "3/4");
  assert_time(qf_time_floor(qf_time(-1, 8), qf_time(1, 4)), "-1/4");
  assert_time(qf_time_floor(qf_time(5, 6), qf_time(3, 8)), "3/4");
}

static void
test_sums_come_back(void** const state)
{
  (void)state;
  TestRandom random = {7, 0};
  for (int i = 0; i < 20000; ++i) {
    const QfTime a =
      qf_time((int64_t)random_below(&random, 2000000) - 1000000, 1 + random_below(&random, 100000));
    const QfTime b = qf_time(1 + random_below(&random, 2000000), 1 + random_below(&random, 100000));
    assert_int_equal(qf_time_compare(qf_time_sub(qf_time_add(a, b), b), a), 0);
    assert_int_equal(qf_time_compare(qf_time_mul(qf_time_div(a, b), b), a), 0);

    const QfTime floor = qf_time_floor(a, b);
    const QfTime rest  = qf_time_sub(a, floor);
    assert_true(rest.num >= 0 && qf_time_compare(rest, b) < 0);
    assert_int_equal(qf_time_div(floor, b).den, 1);
  }
}

static void
test_overflow_rounds_or_saturates(void** const state)
{
  (void)state;
  const QfTime most  = qf_time(INT64_MAX, 1);
  const QfTime least = qf_time(1, INT64_MAX);

  assert_true(qf_time_add(most, most).num == INT64_MAX);
  assert_true(qf_time_sub(qf_time_sub(QF_TIME_ZERO, most), most).num == -INT64_MAX);
  assert_true(qf_time_mul(most, most).num == INT64_MAX);
  assert_int_equal(qf_time_mul(least, least).num, 0);

  // Two unrelated fine fractions: close to the true sum, in lowest terms
  const QfTime a   = qf_time(INT64_C(1000000000000000003), INT64_C(3000000000000000001));
  const QfTime b   = qf_time(INT64_C(2000000000000000003), INT64_C(7000000000000000003));
  const QfTime sum = qf_time_add(a, b);
  assert_true(sum.den > 0);
  assert_float_equal(qf_time_to_double(sum), 1.0 / 3.0 + 2.0 / 7.0, 1e-12);
}

static void
test_large_times_compare_exactly(void** const state)
{
  (void)state;
  // Of two fractions just above one, the one with the larger terms is nearer to it
  const int64_t m = INT64_MAX;
  const QfTime  a = qf_time(m, m - 1);
  const QfTime  b = qf_time(m - 1, m - 2);
  assert_true(qf_time_compare(a, b) < 0);
  assert_true(qf_time_compare(b, a) > 0);
  assert_int_equal(qf_time_compare(a, a), 0);
  assert_true(qf_time_compare(qf_time(-m, 1), qf_time(m, 1)) < 0);
  assert_true(qf_time_compare(qf_time(m, 1), qf_time(1, 2)) > 0);
}

static void
test_text_there_and_back(void** const state)
{
  (void)state;
  static const char* const texts[] = {"0", "2", "3/8", "1/3", "1000000000", "1/1000000000", "-1/4"};
  for (size_t i = 0; i < N_ITEMS(texts); ++i) {
    assert_time(time_of(texts[i]), texts[i]);
  }
  assert_time(time_of("6/8"), "3/4");
}

static void
test_bad_text_is_refused(void** const state)
{
  (void)state;
  static const struct {
    const char* text;
    QfStatus    status;
  } rows[] = {
    {"", QF_ERR_BAD_TEXT},          {"x", QF_ERR_BAD_TEXT},
    {"1/", QF_ERR_BAD_TEXT},        {"1/0", QF_ERR_BAD_TEXT},
    {"1/-4", QF_ERR_BAD_TEXT},      {"1.5", QF_ERR_BAD_TEXT},
    {"1/4 ", QF_ERR_BAD_TEXT},      {"/4", QF_ERR_BAD_TEXT},
    {"-", QF_ERR_BAD_TEXT},         {"1000000001", QF_ERR_RANGE},
    {"1/1000000001", QF_ERR_RANGE}, {"99999999999999999999999999999999999999999/4", QF_ERR_RANGE}};

  for (size_t i = 0; i < N_ITEMS(rows); ++i) {
    QfTime  time  = qf_time(5, 7);
    QfError error = {QF_OK};
    if (qf_time_parse(rows[i].text, &time, &error) != rows[i].status) {
      fail_msg("wrong status for \"%s\"", rows[i].text);
    }
    assert_int_equal(error.status, rows[i].status);
    assert_true(strlen(error.text) > 10);
    assert_time(time, "5/7"); // untouched
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_fractions_are_exact),
    cmocka_unit_test(test_making_a_time_reduces_it),
    cmocka_unit_test(test_floor_goes_down),
    cmocka_unit_test(test_sums_come_back),
    cmocka_unit_test(test_overflow_rounds_or_saturates),
    cmocka_unit_test(test_large_times_compare_exactly),
    cmocka_unit_test(test_text_there_and_back),
    cmocka_unit_test(test_bad_text_is_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
