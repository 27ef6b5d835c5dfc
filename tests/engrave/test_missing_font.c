// SPDX-License-Identifier: MIT
#include "passage.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/// A font configuration that knows no font; it must be set before the first use of fonts
static char config[] = "/tmp/quintfall-fonts-XXXXXX";

static void
test_a_missing_font_is_named_with_its_package(void** const state)
{
  (void)state;
  QfScore* const score     = new_treble("C major", "4/4", 1, 1);
  QfEngraving*   engraving = NULL;
  QfError        error     = {0};
  assert_int_equal(qf_engraving_new(score, NULL, qf_engrave_options_screen(), &engraving, &error),
                   QF_ERR_MISSING);
  assert_null(engraving);
  assert_non_null(strstr(error.text, "Noto Music"));
  assert_non_null(strstr(error.text, "fonts-noto-core"));
  qf_score_free(score);
}

int
main(void)
{
  const int file = mkstemp(config);
  if (file < 0 || dprintf(file, "<fontconfig></fontconfig>") < 0 || close(file)) {
    return 1;
  }
  setenv("FONTCONFIG_FILE", config, 1);
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_a_missing_font_is_named_with_its_package),
  };
  const int failed = cmocka_run_group_tests(tests, NULL, NULL);
  unlink(config);
  return failed;
}
