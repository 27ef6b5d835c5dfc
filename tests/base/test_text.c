// SPDX-License-Identifier: MIT
#include "quintfall/text.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void
test_pieces_add_up(void** state)
{
  (void)state;
  QfText text = {0};
  qf_text_add(&text, "V7");
  qf_text_addf(&text, "/%s in bar %d", "ii", 12);
  qf_text_add_bytes(&text, "!!!", 1);
  qf_text_add(&text, "");
  assert_int_equal(text.length, strlen("V7/ii in bar 12!"));

  char* const string = qf_text_take(&text);
  assert_string_equal(string, "V7/ii in bar 12!");
  assert_null(text.data);
  assert_int_equal(text.length, 0);
  free(string);
}

static void
test_nothing_is_an_empty_string(void** state)
{
  (void)state;
  QfText      text   = {0};
  char* const string = qf_text_take(&text);
  assert_string_equal(string, "");
  free(string);
}

static void
test_growth_keeps_everything(void** state)
{
  (void)state;
  QfText text = {0};
  for (int i = 0; i < 20000; ++i) {
    qf_text_addf(&text, "%d,", i % 10);
  }
  assert_int_equal(text.length, 40000);
  for (size_t i = 0; i < text.length; i += 2) {
    assert_int_equal(text.data[i], '0' + (char)(i / 2 % 10));
  }
  qf_text_free(&text);
  qf_text_free(&text);
  assert_null(text.data);
}

static void
test_after_a_failure_nothing_comes_out(void** state)
{
  (void)state;
  QfText text = {0};
  qf_text_add(&text, "half");
  text.failed = true; // as when memory runs out
  qf_text_add(&text, "more");
  qf_text_addf(&text, "%d", 1);
  assert_int_equal(text.length, 4);
  assert_null(qf_text_take(&text));
  assert_false(text.failed);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_pieces_add_up),
    cmocka_unit_test(test_nothing_is_an_empty_string),
    cmocka_unit_test(test_growth_keeps_everything),
    cmocka_unit_test(test_after_a_failure_nothing_comes_out),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
