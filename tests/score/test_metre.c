// SPDX-License-Identifier: MIT
#include "score_test.h"

#include <string.h>

typedef struct {
  const char* text;
  const char* bar;
  const char* beat;
  int         n_beats;
  const char* starts[8];
} MetreCase;

// Common practice: simple, compound and irregular metres and where their beats fall
static const MetreCase metre_cases[] = {
  {"2/4", "1/2", "1/4", 2, {"0", "1/4"}},
  {"3/4", "3/4", "1/4", 3, {"0", "1/4", "1/2"}},
  {"4/4", "1", "1/4", 4, {"0", "1/4", "1/2", "3/4"}},
  {"2/2", "1", "1/2", 2, {"0", "1/2"}},
  {"3/2", "3/2", "1/2", 3, {"0", "1/2", "1"}},
  {"4/2", "2", "1/2", 4, {"0", "1/2", "1", "3/2"}},
  {"3/8", "3/8", "3/8", 1, {"0"}},
  {"6/8", "3/4", "3/8", 2, {"0", "3/8"}},
  {"9/8", "9/8", "3/8", 3, {"0", "3/8", "3/4"}},
  {"12/8", "3/2", "3/8", 4, {"0", "3/8", "3/4", "9/8"}},
  {"6/4", "3/2", "3/4", 2, {"0", "3/4"}},
  {"6/16", "3/8", "3/16", 2, {"0", "3/16"}},
  {"5/4", "5/4", "3/4", 2, {"0", "3/4"}},
  {"7/8", "7/8", "1/4", 3, {"0", "1/4", "1/2"}},
  {"2+3/8", "5/8", "1/4", 2, {"0", "1/4"}},
  {"3+3+2/8", "1", "3/8", 3, {"0", "3/8", "3/4"}},
};

static void
test_metres_have_their_beats(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(metre_cases); ++i) {
    const MetreCase* const row   = &metre_cases[i];
    const QfMetre          metre = metre_of(row->text);
    if (metre.n_groups != row->n_beats) {
      fail_msg("%s has %d beats", row->text, metre.n_groups);
    }
    assert_time(qf_metre_bar(metre), row->bar);
    assert_time(qf_metre_beat(metre), row->beat);
    for (int j = 0; j < row->n_beats; ++j) {
      assert_time(qf_metre_beat_start(metre, j), row->starts[j]);
    }
  }
}

static void
test_metres_are_written_as_read(void** const state)
{
  (void)state;
  char text[40] = "";
  for (size_t i = 0; i < N_ITEMS(metre_cases); ++i) {
    qf_metre_write(metre_of(metre_cases[i].text), text, sizeof(text));
    assert_string_equal(text, metre_cases[i].text);
  }
  qf_metre_write(metre_of("3+2/4"), text, sizeof(text)); // the usual grouping goes without saying
  assert_string_equal(text, "5/4");
}

static void
test_every_metre_fills_its_bar(void** const state)
{
  (void)state;
  for (int numerator = 1; numerator <= 64; ++numerator) {
    for (int denominator = 1; denominator <= 64; denominator *= 2) {
      QfMetre metre = {0};
      char    text[40];
      QfMetre again = {0};
      assert_int_equal(qf_metre(numerator, denominator, &metre), QF_OK);
      assert_true(metre.n_groups >= 1 && metre.n_groups <= QF_METRE_MAX_GROUPS);

      int sum = 0;
      for (int i = 0; i < metre.n_groups; ++i) {
        assert_true(metre.groups[i] > 0);
        sum += metre.groups[i];
      }
      assert_int_equal(sum, numerator);

      qf_metre_write(metre, text, sizeof(text));
      assert_int_equal(qf_metre_parse(text, &again, NULL), QF_OK);
      assert_true(qf_metre_equals(metre, again));
    }
  }
}

static void
test_levels_follow_the_metre(void** const state)
{
  (void)state;
  // Common practice: downbeat, half bar, other beats, then each halving of the beat
  static const struct {
    const char* metre;
    const char* position;
    int         level;
  } rows[] = {
    {"4/4", "0", 0},    {"4/4", "1/2", 1}, {"4/4", "1/4", 2},  {"4/4", "3/4", 2},
    {"4/4", "1/8", 3},  {"4/4", "5/8", 3}, {"4/4", "1/16", 4}, {"4/4", "1/12", 3},
    {"4/4", "1/24", 4}, {"3/4", "1/4", 2}, {"3/4", "1/2", 2},  {"3/4", "5/8", 3},
    {"6/8", "3/8", 1},  {"6/8", "1/8", 3}, {"6/8", "1/16", 4}, {"12/8", "3/4", 1},
    {"12/8", "3/8", 2}, {"9/8", "3/8", 2}, {"2/4", "1/4", 1},  {"2/2", "1/4", 3},
    {"5/8", "3/8", 2},  {"5/8", "1/4", 3}, {"4/4", "1", 0},    {"4/4", "5/4", 2},
  };
  for (size_t i = 0; i < N_ITEMS(rows); ++i) {
    const int level = qf_metre_level(metre_of(rows[i].metre), time_of(rows[i].position));
    if (level != rows[i].level) {
      fail_msg("%s at %s: level %d", rows[i].metre, rows[i].position, level);
    }
  }
}

static void
test_impossible_metres_are_refused(void** const state)
{
  (void)state;
  QfMetre metre = {0};
  assert_int_equal(qf_metre(0, 4, &metre), QF_ERR_RANGE);
  assert_int_equal(qf_metre(65, 4, &metre), QF_ERR_RANGE);
  assert_int_equal(qf_metre(4, 3, &metre), QF_ERR_RANGE);
  assert_int_equal(qf_metre(4, 0, &metre), QF_ERR_RANGE);
  assert_int_equal(qf_metre(4, 128, &metre), QF_ERR_RANGE);

  static const struct {
    const char* text;
    QfStatus    status;
  } rows[] = {{"", QF_ERR_BAD_TEXT},       {"4", QF_ERR_BAD_TEXT},
              {"4/", QF_ERR_BAD_TEXT},     {"/4", QF_ERR_BAD_TEXT},
              {"4/4x", QF_ERR_BAD_TEXT},   {"3++2/8", QF_ERR_BAD_TEXT},
              {"3+/8", QF_ERR_BAD_TEXT},   {"-3/4", QF_ERR_BAD_TEXT},
              {"3+0/8", QF_ERR_BAD_TEXT},  {"1+1+1+1+1+1+1+1+1/8", QF_ERR_BAD_TEXT},
              {"4/5", QF_ERR_RANGE},       {"9999/4", QF_ERR_RANGE},
              {"99999/4", QF_ERR_BAD_TEXT}};
  for (size_t i = 0; i < N_ITEMS(rows); ++i) {
    QfError error = {QF_OK};
    if (qf_metre_parse(rows[i].text, &metre, &error) != rows[i].status) {
      fail_msg("wrong status for \"%s\"", rows[i].text);
    }
    assert_true(strlen(error.text) > 10);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_metres_have_their_beats),
    cmocka_unit_test(test_metres_are_written_as_read),
    cmocka_unit_test(test_every_metre_fills_its_bar),
    cmocka_unit_test(test_levels_follow_the_metre),
    cmocka_unit_test(test_impossible_metres_are_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
