// SPDX-License-Identifier: MIT
#include "quintfall/hearing.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

typedef struct {
  const char* text;
  size_t      n_voices;
  QfStatus    status;
  QfForward   forward;
  const char* written;
} ForwardCase;

// Rules: hearing.h.
static const ForwardCase forwards[] = {
  {"all", 4, QF_OK, {QF_FORWARD_ALL, 0}, "all"},
  {"quality", 4, QF_OK, {QF_FORWARD_QUALITY, 0}, "quality"},
  {"soprano", 4, QF_OK, {QF_FORWARD_VOICE, 0}, "soprano"},
  {"alto", 4, QF_OK, {QF_FORWARD_VOICE, 1}, "alto"},
  {"tenor", 4, QF_OK, {QF_FORWARD_VOICE, 2}, "tenor"},
  {"bass", 4, QF_OK, {QF_FORWARD_VOICE, 3}, "bass"},
  {"voice 2", 4, QF_OK, {QF_FORWARD_VOICE, 1}, "alto"},
  {"bass", 3, QF_OK, {QF_FORWARD_VOICE, 2}, "voice 3"},
  {"voice 6", 6, QF_OK, {QF_FORWARD_VOICE, 5}, "voice 6"},
  {"tenor", 3, QF_ERR_BAD_TEXT, {QF_FORWARD_ALL, 0}, ""},
  {"voice 5", 4, QF_ERR_RANGE, {QF_FORWARD_ALL, 0}, ""},
  {"voice 0", 4, QF_ERR_RANGE, {QF_FORWARD_ALL, 0}, ""},
  {"voice 1x", 4, QF_ERR_RANGE, {QF_FORWARD_ALL, 0}, ""},
  {"Bass", 4, QF_ERR_BAD_TEXT, {QF_FORWARD_ALL, 0}, ""},
  {"", 4, QF_ERR_BAD_TEXT, {QF_FORWARD_ALL, 0}, ""},
  {"bass", 0, QF_ERR_BAD_TEXT, {QF_FORWARD_ALL, 0}, ""},
};

static void
test_forward_is_read_and_written(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(forwards) / sizeof(forwards[0]); ++i) {
    const ForwardCase* const row     = &forwards[i];
    QfForward                forward = {QF_FORWARD_ALL, 0};
    QfError                  error   = {0};
    const QfStatus           st      = qf_forward_parse(row->text, row->n_voices, &forward, &error);
    if (st != row->status || (st && !error.text[0])) {
      fail_msg("\"%s\" of %zu: %s", row->text, row->n_voices, qf_status_text(st));
    }
    if (!st) {
      char written[32];
      qf_forward_write(forward, row->n_voices, written, sizeof(written));
      assert_int_equal(forward.kind, row->forward.kind);
      assert_int_equal(forward.voice, row->forward.voice);
      assert_string_equal(written, row->written);
    }
  }
}

static void
test_the_default_is_quiet_and_within_its_ranges(void** state)
{
  (void)state;
  const QfHearing plain   = qf_hearing_default();
  const QfHearing clamped = qf_hearing_clamp(plain);
  assert_true(plain.level_db <= -12.0);
  assert_true(plain.softening_db >= 9.0); // At least 9 dB over the others
  assert_false(plain.has_prelude);
  assert_int_equal(plain.forward.kind, QF_FORWARD_ALL);
  assert_true(clamped.level_db == plain.level_db && clamped.repeats == plain.repeats &&
              clamped.tempo_factor == plain.tempo_factor && clamped.program == plain.program &&
              clamped.gap_beats == plain.gap_beats && clamped.softening_db == plain.softening_db);
}

static void
test_every_value_is_clamped(void** state)
{
  (void)state;
  const QfHearing high = qf_hearing_clamp((QfHearing){.tempo_factor    = 1e9,
                                                      .repeats         = 1000000,
                                                      .gap_beats       = INFINITY,
                                                      .softening_db    = 100.0,
                                                      .level_db        = 60.0,
                                                      .program         = 500,
                                                      .forward_program = 128});
  assert_true(high.tempo_factor == 2.0 && high.repeats == 20 && high.gap_beats == 64.0 &&
              high.softening_db == 30.0 && high.level_db == 0.0 && high.program == 127 &&
              high.forward_program == 127);

  const QfHearing low = qf_hearing_clamp((QfHearing){.forward         = {(QfForwardKind)77, 3},
                                                     .tempo_factor    = NAN,
                                                     .repeats         = -1,
                                                     .gap_beats       = -INFINITY,
                                                     .softening_db    = NAN,
                                                     .level_db        = NAN,
                                                     .program         = -7,
                                                     .forward_program = -7});
  assert_true(low.tempo_factor == 0.25 && low.repeats == 1 && low.gap_beats == 0.0 &&
              low.softening_db == 9.0 && low.level_db == -40.0 && low.program == 0 &&
              low.forward_program == QF_PROGRAM_SAME && low.forward.kind == QF_FORWARD_ALL);
}

static void
test_every_level_tells_hearings_apart(void** state)
{
  (void)state;
  const QfHearing usual = qf_hearing_default();
  QfHearing       others[8];
  for (size_t i = 0; i < 8; ++i) {
    others[i] = usual;
  }
  others[0].softening_db += 1.0;
  others[1].forward_gain_db += 1.0;
  others[2].lead_ms += 5.0;
  others[3].program         = 19;
  others[4].forward_program = 68;
  others[5].is_spread       = true;
  others[6].forward         = (QfForward){QF_FORWARD_VOICE, 1};
  others[7].tempo_factor    = 0.5;
  for (size_t i = 0; i < 8; ++i) {
    assert_false(qf_hearing_equals(usual, others[i]));
    assert_int_equal(qf_hearing_same_times(usual, others[i]), i != 7);
  }
  others[0] = usual;
  others[0].level_db -= 10.0;
  assert_true(qf_hearing_equals(usual, others[0]));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_forward_is_read_and_written),
    cmocka_unit_test(test_the_default_is_quiet_and_within_its_ranges),
    cmocka_unit_test(test_every_value_is_clamped),
    cmocka_unit_test(test_every_level_tells_hearings_apart),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
