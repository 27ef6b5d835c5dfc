// SPDX-License-Identifier: MIT
#include "../../src/document/side_by_side.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

enum { N_JOBS = 12 };

static const double shares[N_JOBS] = {0.30, 0.05, 0.05, 0.10, 0.05, 0.05,
                                      0.05, 0.05, 0.10, 0.10, 0.05, 0.05};

typedef struct {
  atomic_int runs[N_JOBS];
  atomic_int n_stopped;
  int        fails_at; ///< Or -1
  int        n_told;
  int        stops_after; ///< Reports until cancelled; -1 for never
  double     last;
} Trial;

static QfStatus
run_cb(const size_t         index,
       const QfProgressFunc progress,
       void* const          progress_data,
       void* const          data,
       QfError* const       error)
{
  Trial* const trial = (Trial*)data;
  ++trial->runs[index];
  for (int i = 1; i <= 10; ++i) {
    if (!progress(i / 10.0, progress_data)) {
      ++trial->n_stopped;
      return qf_error_set(error, QF_ERR_CANCELLED, "cancelled");
    }
    if ((int)index == trial->fails_at && i == 5) {
      return qf_error_set(error, QF_ERR_FULL, "job %zu has no room", index);
    }
  }
  return QF_OK;
}

static bool
told_cb(const double done, void* const data)
{
  Trial* const trial = (Trial*)data;
  assert_true(done >= trial->last - 1e-12); // never backwards, whoever works
  trial->last = done;
  ++trial->n_told;
  return trial->stops_after < 0 || trial->n_told < trial->stops_after;
}

static QfStatus
run_all(Trial* const trial, const size_t n_threads, QfError* const error)
{
  return side_by_side(&(Jobs){.n_jobs        = N_JOBS,
                              .shares        = shares,
                              .n_threads     = n_threads,
                              .run           = run_cb,
                              .data          = trial,
                              .progress      = told_cb,
                              .progress_data = trial},
                      error);
}

static void
test_each_job_is_done_once(void** const state)
{
  (void)state;
  for (size_t n = 0; n <= 5; ++n) {
    Trial trial = {.fails_at = -1, .stops_after = -1};
    assert_int_equal(run_all(&trial, n, NULL), QF_OK);
    for (size_t i = 0; i < N_JOBS; ++i) {
      assert_int_equal(trial.runs[i], 1);
    }
    assert_int_equal(trial.n_told, 10 * N_JOBS);
    assert_true(fabs(trial.last - 1.0) < 1e-9);
  }
}

static void
test_a_fault_stops_the_rest_and_is_told(void** const state)
{
  (void)state;
  Trial   trial = {.fails_at = 0, .stops_after = -1};
  QfError error = {0};
  assert_int_equal(run_all(&trial, 1, &error), QF_ERR_FULL);
  assert_string_equal(error.text, "job 0 has no room");
  for (size_t i = 1; i < N_JOBS; ++i) {
    assert_int_equal(trial.runs[i], 0);
  }

  Trial many = {.fails_at = 3, .stops_after = -1};
  assert_int_equal(run_all(&many, 4, &error), QF_ERR_FULL);
  assert_string_equal(error.text, "job 3 has no room");
}

static void
test_cancelling_stops_all(void** const state)
{
  (void)state;
  for (size_t n = 1; n <= 4; ++n) {
    Trial trial = {.fails_at = -1, .stops_after = 7};
    assert_int_equal(run_all(&trial, n, NULL), QF_ERR_CANCELLED);
    assert_int_equal(trial.n_told, 7);
    assert_true(trial.n_stopped >= 1 && trial.n_stopped <= (int)n);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_each_job_is_done_once),
    cmocka_unit_test(test_a_fault_stops_the_rest_and_is_told),
    cmocka_unit_test(test_cancelling_stops_all),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
