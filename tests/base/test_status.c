// SPDX-License-Identifier: MIT
#include "quintfall/status.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void
test_setting_returns_the_status(void** state)
{
  (void)state;
  QfError error = {0};
  assert_int_equal(qf_error_set(&error, QF_ERR_RANGE, "%d is too much", 9), QF_ERR_RANGE);
  assert_int_equal(error.status, QF_ERR_RANGE);
  assert_string_equal(error.text, "9 is too much");
  assert_int_equal(error.measure, -1);
  assert_int_equal(qf_error_set(NULL, QF_ERR_IO, "nobody listens"), QF_ERR_IO);
  qf_error_place(NULL, 1, 2, "3");
}

static void
test_long_sentences_are_cut(void** state)
{
  (void)state;
  QfError error = {0};
  char    text[1000];
  memset(text, 'x', sizeof(text) - 1U);
  text[sizeof(text) - 1U] = '\0';
  qf_error_set(&error, QF_ERR_BAD_FILE, "%s", text);
  assert_int_equal(strlen(error.text), sizeof(error.text) - 1U);
}

typedef struct {
  int         line;
  int         measure;
  const char* beat;
  const char* name;
  const char* wants;
} PlaceCase;

// Source: the design's `file:measure:beat: what is wrong`
static const PlaceCase place_cases[] = {
  {0, 12, "2.5", "song.qfl", "song.qfl:12:2.5: bad"},
  {0, 12, NULL, "song.qfl", "song.qfl:12: bad"},
  {7, -1, NULL, "song.qfl", "song.qfl:line 7: bad"},
  {0, -1, NULL, "song.qfl", "song.qfl: bad"},
  {0, -1, NULL, NULL, "bad"},
  {0, 3, "1", NULL, "3:1: bad"},
};

static void
test_messages_say_where(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(place_cases) / sizeof(place_cases[0]); ++i) {
    QfError error = {0};
    char    text[80];
    qf_error_set(&error, QF_ERR_BAD_FILE, "bad");
    qf_error_place(&error, place_cases[i].line, place_cases[i].measure, place_cases[i].beat);
    qf_error_describe(&error, place_cases[i].name, text, sizeof(text));
    assert_string_equal(text, place_cases[i].wants);
  }
}

static void
test_a_file_is_named_once(void** state)
{
  (void)state;
  QfError error = {0};
  char    text[80];

  qf_error_set(&error, QF_ERR_IO, "could not write a/song.pdf: No space left on device");
  qf_error_describe(&error, "a/song.pdf", text, sizeof(text));
  assert_string_equal(text, "could not write a/song.pdf: No space left on device");

  // Another file's name does not stand for this one's.
  qf_error_describe(&error, "tune.qfl", text, sizeof(text));
  assert_string_equal(text, "tune.qfl: could not write a/song.pdf: No space left on device");

  // What a score says is not the file's name.
  qf_error_set(&error, QF_ERR_BAD_FILE, "a note is too long");
  qf_error_describe(&error, "a", text, sizeof(text));
  assert_string_equal(text, "a: a note is too long");
}

static void
test_each_status_has_its_words(void** state)
{
  (void)state;
  for (int i = QF_OK; i <= QF_ERR_FULL; ++i) {
    assert_string_not_equal(qf_status_text((QfStatus)i), "unknown status");
    for (int k = QF_OK; k < i; ++k) {
      assert_string_not_equal(qf_status_text((QfStatus)i), qf_status_text((QfStatus)k));
    }
  }
  assert_string_equal(qf_status_text((QfStatus)99), "unknown status");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_setting_returns_the_status),
    cmocka_unit_test(test_long_sentences_are_cut),
    cmocka_unit_test(test_messages_say_where),
    cmocka_unit_test(test_a_file_is_named_once),
    cmocka_unit_test(test_each_status_has_its_words),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
