// SPDX-License-Identifier: MIT
#include "quintfall/tuning.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>

#include <cmocka.h>

enum {
  N_CLASSES = 12,
};

static const QfKey c_major = {{0, 0}, QF_MAJOR};

/// Cents of each semitone over the tonic
typedef struct {
  QfTuningKind kind;
  double       cents[N_CLASSES];
} Scale;

// Source: Helmholtz, On the Sensations of Tone, trans. Ellis, appendix XX (cents
// of just intervals), and Barbour, Tuning and Temperament (1951), table of Aaron's
// quarter-comma meantone, E flat to G sharp; both from memory.
static const Scale scales[] = {
  {QF_TUNING_EQUAL, {0, 100, 200, 300, 400, 500, 600, 700, 800, 900, 1000, 1100}},
  {QF_TUNING_JUST,
   {0, 111.73, 203.91, 315.64, 386.31, 498.04, 590.22, 701.96, 813.69, 884.36, 1017.60, 1088.27}},
  {QF_TUNING_MEANTONE,
   {0, 76.05, 193.16, 310.26, 386.31, 503.42, 579.47, 696.58, 772.63, 889.74, 1006.84, 1082.89}},
};

static double
interval_cents(const QfTuning tuning, const int low, const int high)
{
  return 1200.0 * log2(qf_tuning_hz(tuning, high) / qf_tuning_hz(tuning, low));
}

static void
assert_cents(const double actual, const double expected)
{
  if (!(fabs(actual - expected) <= 0.01)) {
    fail_msg("%.3f cents; expected %.3f", actual, expected);
  }
}

static void
test_scales_have_the_published_cents(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(scales) / sizeof(scales[0]); ++i) {
    const QfTuning tuning = {.kind = scales[i].kind, .key = c_major};
    for (int n = 0; n < N_CLASSES; ++n) {
      assert_cents(interval_cents(tuning, 60, 60 + n), scales[i].cents[n]);
      assert_cents(interval_cents(tuning, 36, 48 + n), 1200.0 + scales[i].cents[n]);
    }
  }
}

static void
test_a4_is_the_reference_in_every_key(void** state)
{
  (void)state;
  static const double references[] = {392.0, 415.0, 440.0, 466.0};
  for (int kind = 0; kind < QF_TUNING_N_KINDS; ++kind) {
    for (int fifths = -7; fifths <= 7; ++fifths) {
      for (int mode = 0; mode < 2; ++mode) {
        QfTuning tuning = {.kind = (QfTuningKind)kind};
        assert_int_equal(qf_key_from_fifths(fifths, (QfMode)mode, &tuning.key), QF_OK);
        for (size_t i = 0; i < 4; ++i) {
          tuning.a4_hz = references[i];
          assert_true(fabs(qf_tuning_hz(tuning, 69) - references[i]) < 1e-9);
        }
      }
    }
  }
}

// A pure third is 386.31 cents, a pure fifth 701.96; a quarter comma less, 696.58. Sources as
// above.
static void
test_primary_triads_are_pure_in_every_key(void** state)
{
  (void)state;
  for (int fifths = -7; fifths <= 7; ++fifths) {
    QfTuning tuning = {.kind = QF_TUNING_JUST};
    assert_int_equal(qf_key_from_fifths(fifths, QF_MAJOR, &tuning.key), QF_OK);
    const int        tonic     = 48 + qf_note_name_semitones(tuning.key.tonic);
    static const int degrees[] = {0, 5, 7}; // Tonic, subdominant, dominant
    for (size_t i = 0; i < 3; ++i) {
      const int root = tonic + degrees[i];
      tuning.kind    = QF_TUNING_JUST;
      assert_cents(interval_cents(tuning, root, root + 4), 386.31);
      assert_cents(interval_cents(tuning, root, root + 7), 701.96);
      tuning.kind = QF_TUNING_MEANTONE;
      assert_cents(interval_cents(tuning, root, root + 4), 386.31);
      assert_cents(interval_cents(tuning, root, root + 7), 696.58);
    }
  }
}

static void
test_the_dominant_of_minor_has_its_third_in_meantone(void** state)
{
  (void)state;
  for (int fifths = -7; fifths <= 7; ++fifths) {
    QfTuning tuning = {.kind = QF_TUNING_MEANTONE};
    assert_int_equal(qf_key_from_fifths(fifths, QF_MINOR, &tuning.key), QF_OK);
    const int dominant = 55 + qf_note_name_semitones(tuning.key.tonic);
    assert_cents(interval_cents(tuning, dominant, dominant + 4), 386.31);
  }
}

static void
test_references_stay_in_range(void** state)
{
  (void)state;
  assert_true(qf_tuning_a4((QfTuning){0}) == 440.0); // ISO 16
  assert_true(qf_tuning_a4((QfTuning){.a4_hz = 100.0}) == 392.0);
  assert_true(qf_tuning_a4((QfTuning){.a4_hz = 1e9}) == 466.0);
  assert_true(qf_tuning_a4((QfTuning){.a4_hz = NAN}) == 440.0);
}

static void
test_names_are_read_back(void** state)
{
  (void)state;
  for (int i = 0; i < QF_TUNING_N_KINDS; ++i) {
    QfTuningKind kind = QF_TUNING_N_KINDS;
    assert_int_equal(qf_tuning_parse(qf_tuning_name((QfTuningKind)i), &kind, NULL), QF_OK);
    assert_int_equal(kind, i);
  }
  QfTuningKind kind  = QF_TUNING_JUST;
  QfError      error = {0};
  assert_int_equal(qf_tuning_parse("pure", &kind, &error), QF_ERR_BAD_TEXT);
  assert_int_equal(kind, QF_TUNING_JUST);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_scales_have_the_published_cents),
    cmocka_unit_test(test_a4_is_the_reference_in_every_key),
    cmocka_unit_test(test_primary_triads_are_pure_in_every_key),
    cmocka_unit_test(test_the_dominant_of_minor_has_its_third_in_meantone),
    cmocka_unit_test(test_references_stay_in_range),
    cmocka_unit_test(test_names_are_read_back),
  };
  return cmocka_run_group_tests_name("tuning", tests, NULL, NULL);
}
