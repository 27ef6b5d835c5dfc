// SPDX-License-Identifier: MIT
#include "quintfall/practice.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

// Source: `date -u -d 2026-11-25T12:00:00Z +%s` and `date -u -d 2026-11-23 +%s`, a Monday
static const int64_t noon_s     = INT64_C(1795608000);
static const int64_t monday_day = INT64_C(1795392000) / 86400;

enum { DAY_S = 86400 };

typedef struct {
  char        folder[64];
  char        path[128];
  QfPractice* practice;
} Fixture;

static int
set_up(void** state)
{
  Fixture* const fixture = (Fixture*)calloc(1, sizeof(Fixture));
  strcpy(fixture->folder, "/tmp/qf-practice-XXXXXX");
  assert_non_null(mkdtemp(fixture->folder));
  snprintf(fixture->path, sizeof(fixture->path), "%s/data/practice.db", fixture->folder);
  char* remark = NULL;
  assert_int_equal(qf_practice_open(fixture->path, 0, &fixture->practice, &remark, NULL), QF_OK);
  assert_null(remark);
  *state = fixture;
  return 0;
}

static int
tear_down(void** state)
{
  Fixture* const fixture = (Fixture*)*state;
  char           command[160];
  qf_practice_free(fixture->practice);
  snprintf(command, sizeof(command), "rm -r %s", fixture->folder);
  assert_int_equal(system(command), 0);
  free(fixture);
  return 0;
}

static void
record(QfPractice* const practice,
       const char* const concept,
       const int     right,
       const int     asked,
       const int64_t when_s)
{
  QfAttempt attempt = {.right = right, .asked = asked, .when_s = when_s};
  strcpy(attempt.concept, concept);
  assert_int_equal(qf_practice_record(practice, &attempt, 1, NULL), QF_OK);
}

static void
test_sums_survive_closing(void** state)
{
  Fixture* const fixture = (Fixture*)*state;
  record(fixture->practice, "target/V", 3, 4, noon_s);
  record(fixture->practice, "target/V", 1, 1, noon_s + 60);
  record(fixture->practice, "inversion/1", 0, 2, noon_s);
  qf_practice_free(fixture->practice);
  assert_int_equal(qf_practice_open(fixture->path, 0, &fixture->practice, NULL, NULL), QF_OK);

  QfConceptRecords records = {0};
  assert_int_equal(qf_practice_list(fixture->practice, &records, NULL), QF_OK);
  assert_int_equal(records.n_records, 2);
  assert_string_equal(records.records[0].concept, "inversion/1");
  assert_int_equal(records.records[1].right, 4);
  assert_int_equal(records.records[1].asked, 5);
  assert_int_equal(records.records[1].first_s, noon_s);
  assert_int_equal(records.records[1].last_s, noon_s + 60);
  qf_concept_records_clear(&records);
}

// Source: SM-2 (see test_recall.c): all right gives 5, so 1 day, 6 days, 6 * 2.8 = 17 days
static void
test_practice_on_due_days_spreads_out(void** state)
{
  Fixture* const fixture = (Fixture*)*state;
  const int      days[]  = {0, 1, 7};
  const int      next[]  = {1, 7, 24};
  for (size_t i = 0; i < 3; ++i) {
    record(fixture->practice, "quality/dom7", 5, 5, noon_s + days[i] * DAY_S);
    QfConceptRecords records = {0};
    assert_int_equal(qf_practice_list(fixture->practice, &records, NULL), QF_OK);
    assert_int_equal(records.records[0].due_day, noon_s / DAY_S + next[i]);
    qf_concept_records_clear(&records);
  }
}

static void
test_practice_before_it_is_due_does_not_spread(void** state)
{
  Fixture* const fixture = (Fixture*)*state;
  record(fixture->practice, "quality/dom7", 1, 1, noon_s);
  record(fixture->practice, "quality/dom7", 1, 1, noon_s + DAY_S);
  record(fixture->practice, "quality/dom7", 1, 1, noon_s + 2 * DAY_S);
  record(fixture->practice, "quality/dom7", 1, 1, noon_s + 3 * DAY_S);

  QfConceptRecords records = {0};
  assert_int_equal(qf_practice_list(fixture->practice, &records, NULL), QF_OK);
  assert_int_equal(records.records[0].due_day, noon_s / DAY_S + 7);

  // What was forgotten starts again at once.
  record(fixture->practice, "quality/dom7", 0, 1, noon_s + 4 * DAY_S);
  qf_concept_records_clear(&records);
  assert_int_equal(qf_practice_list(fixture->practice, &records, NULL), QF_OK);
  assert_int_equal(records.records[0].due_day, noon_s / DAY_S + 5);
  qf_concept_records_clear(&records);
}

static void
test_answers_of_one_day_are_one_repetition(void** state)
{
  Fixture* const fixture = (Fixture*)*state;
  for (int i = 0; i < 10; ++i) {
    record(fixture->practice, "layer/bass", 1, 1, noon_s + i);
  }
  QfConceptRecords records = {0};
  assert_int_equal(qf_practice_list(fixture->practice, &records, NULL), QF_OK);
  assert_int_equal(records.records[0].recall.repetitions, 1);
  assert_int_equal(records.records[0].due_day, noon_s / DAY_S + 1);
  qf_concept_records_clear(&records);
}

static void
test_due_names_the_longest_overdue_first(void** state)
{
  Fixture* const fixture = (Fixture*)*state;
  record(fixture->practice, "target/V", 1, 1, noon_s);
  record(fixture->practice, "target/ii", 0, 1, noon_s - 2 * DAY_S);
  record(fixture->practice, "target/vi", 1, 4, noon_s);
  record(fixture->practice, "target/iii", 1, 1, noon_s + DAY_S);

  QfConceptRecords due = {0};
  assert_int_equal(qf_practice_due(fixture->practice, noon_s + DAY_S, &due, NULL), QF_OK);
  assert_int_equal(due.n_records, 3);
  assert_string_equal(due.records[0].concept, "target/ii");
  assert_string_equal(due.records[1].concept, "target/vi");
  assert_string_equal(due.records[2].concept, "target/V");
  qf_concept_records_clear(&due);
}

static void
test_series_adds_up_days_and_weeks(void** state)
{
  Fixture* const fixture = (Fixture*)*state;
  const int64_t  monday  = monday_day * DAY_S;
  record(fixture->practice, "target/V", 1, 2, monday - 1);            // Sunday before
  record(fixture->practice, "target/V", 1, 2, monday);                // Monday
  record(fixture->practice, "target/ii", 2, 2, monday + 6 * DAY_S);   // Sunday
  record(fixture->practice, "inversion/1", 0, 1, monday + 2 * DAY_S); // Wednesday

  QfPracticeSeries series = {0};
  assert_int_equal(qf_practice_series(fixture->practice, "target/", QF_PERIOD_WEEK, &series, NULL),
                   QF_OK);
  assert_int_equal(series.n_points, 2);
  assert_int_equal(series.points[0].from_day, monday_day - 7);
  assert_int_equal(series.points[1].from_day, monday_day);
  assert_int_equal(series.points[1].right, 3);
  assert_int_equal(series.points[1].asked, 4);
  qf_practice_series_clear(&series);

  assert_int_equal(qf_practice_series(fixture->practice, NULL, QF_PERIOD_DAY, &series, NULL),
                   QF_OK);
  assert_int_equal(series.n_points, 4);
  qf_practice_series_clear(&series);
  assert_int_equal(qf_practice_series(fixture->practice, "target/V", QF_PERIOD_DAY, &series, NULL),
                   QF_OK);
  assert_int_equal(series.n_points, 2);
  qf_practice_series_clear(&series);
}

static void
test_days_follow_the_local_clock(void** state)
{
  Fixture* const fixture = (Fixture*)*state;
  QfPractice*    east    = NULL;
  // 23:30 UTC is the next day in a zone one hour east.
  record(fixture->practice, "target/V", 1, 1, monday_day * DAY_S - 1800);
  assert_int_equal(qf_practice_open(fixture->path, 3600, &east, NULL, NULL), QF_OK);
  QfPracticeSeries series = {0};
  assert_int_equal(qf_practice_series(east, NULL, QF_PERIOD_DAY, &series, NULL), QF_OK);
  assert_int_equal(series.points[0].from_day, monday_day);
  qf_practice_series_clear(&series);
  qf_practice_free(east);
}

static void
test_export_tells_every_attempt(void** state)
{
  Fixture* const fixture = (Fixture*)*state;
  char*          text    = NULL;
  record(fixture->practice, "function/ii/o65", 2, 3, noon_s);
  assert_int_equal(qf_practice_export(fixture->practice, QF_PRACTICE_CSV, &text, NULL), QF_OK);
  // RFC 4180 lines, ISO 8601 time; the time is that of noon_s by date(1)
  assert_string_equal(text, "concept,right,asked,at\r\n"
                            "function/ii/o65,2,3,2026-11-25T12:00:00Z\r\n");
  free(text);
  assert_int_equal(qf_practice_export(fixture->practice, QF_PRACTICE_JSON, &text, NULL), QF_OK);
  assert_non_null(strstr(text, "\"concept\": \"function/ii/o65\", \"right\": 2, \"asked\": 3"));
  free(text);
}

/// True if the bytes of a word lie anywhere in a file
static bool
file_holds(const char* const path, const char* const word)
{
  FILE* const file = fopen(path, "rb");
  if (!file) {
    return false;
  }
  static char  bytes[1 << 20];
  const size_t n = fread(bytes, 1, sizeof(bytes), file);
  fclose(file);
  return memmem(bytes, n, word, strlen(word)) != NULL;
}

static void
test_deleting_leaves_no_trace_in_the_files(void** state)
{
  Fixture* const fixture = (Fixture*)*state;
  char           wal[160];
  snprintf(wal, sizeof(wal), "%s-wal", fixture->path);
  for (int i = 0; i < 200; ++i) {
    record(fixture->practice, "target/secretly", 1, 1, noon_s + i);
  }
  assert_true(file_holds(fixture->path, "secretly") || file_holds(wal, "secretly"));
  assert_int_equal(qf_practice_delete_all(fixture->practice, NULL), QF_OK);
  assert_false(file_holds(fixture->path, "secretly"));
  assert_false(file_holds(wal, "secretly"));

  QfConceptRecords records = {0};
  assert_int_equal(qf_practice_list(fixture->practice, &records, NULL), QF_OK);
  assert_int_equal(records.n_records, 0);
  qf_concept_records_clear(&records);
  record(fixture->practice, "target/V", 1, 1, noon_s);
}

static void
test_impossible_attempts_are_refused_all_together(void** state)
{
  Fixture* const fixture = (Fixture*)*state;
  const struct {
    const char* concept;
    int     right;
    int     asked;
    int64_t when_s;
  } bad[] = {
    {"target/V", 2, 1, 0},     {"target/V", -1, 1, 0},  {"target/V", 0, 0, 0},
    {"target/V", 1, 1, -1},    {"target", 1, 1, 0},     {"/V", 1, 1, 0},
    {"target/", 1, 1, 0},      {"", 1, 1, 0},           {"target/a b", 1, 1, 0},
    {"target/\"V\"", 1, 1, 0}, {"target/V\n", 1, 1, 0},
  };
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    QfAttempt pair[2] = {{"target/V", 1, 1, noon_s},
                         {"", bad[i].right, bad[i].asked, bad[i].when_s}};
    QfError   error   = {0};
    strcpy(pair[1].concept, bad[i].concept);
    if (qf_practice_record(fixture->practice, pair, 2, &error) != QF_ERR_RANGE || !*error.text) {
      fail_msg("row %zu was not refused", i);
    }
  }
  QfConceptRecords records = {0};
  assert_int_equal(qf_practice_list(fixture->practice, &records, NULL), QF_OK);
  assert_int_equal(records.n_records, 0);
  qf_concept_records_clear(&records);
}

static void
test_concepts_are_said_in_words(void** state)
{
  (void)state;
  // The wording of the table in practice.h
  const char* const rows[][2] = {
    {"target/V", "applied chords of V"}, {"inversion/1", "first inversion"},
    {"layer/bass", "the bass"},          {"quality/half-dim7", "half-diminished seventh"},
    {"function/ii65", "ii65"},           {"drill/circle", "drill: what broke the circle"},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    char words[QF_CONCEPT_NAME_SIZE];
    qf_concept_describe(rows[i][0], words, sizeof(words));
    assert_string_equal(words, rows[i][1]);
  }
}

int
main(void)
{
#define WITH_RECORD(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)
  const struct CMUnitTest tests[] = {
    WITH_RECORD(test_sums_survive_closing),
    WITH_RECORD(test_practice_on_due_days_spreads_out),
    WITH_RECORD(test_practice_before_it_is_due_does_not_spread),
    WITH_RECORD(test_answers_of_one_day_are_one_repetition),
    WITH_RECORD(test_due_names_the_longest_overdue_first),
    WITH_RECORD(test_series_adds_up_days_and_weeks),
    WITH_RECORD(test_days_follow_the_local_clock),
    WITH_RECORD(test_export_tells_every_attempt),
    WITH_RECORD(test_deleting_leaves_no_trace_in_the_files),
    WITH_RECORD(test_impossible_attempts_are_refused_all_together),
    cmocka_unit_test(test_concepts_are_said_in_words),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
