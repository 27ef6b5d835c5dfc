// SPDX-License-Identifier: MIT
#include "passage.h"

#include "quintfall/file.h"
#include "quintfall/formats.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum {
  N_VOICES = 4,
};

typedef const char* Chord[N_VOICES];

// A pivot chord, then a cadence in the dominant: Open Music Theory, "Modulation".
static const Chord modulating[] = {
  {"C5", "G4", "E4", "C3"}, {"D5", "G4", "F4", "B2"},  {"E5", "G4", "E4", "C3"},
  {"E5", "A4", "C4", "A2"}, {"D5", "G4", "B3", "D3"},  {"C5", "F#4", "A3", "D3"},
  {"B4", "G4", "D4", "G2"}, {"A4", "F#4", "D4", "D3"}, {"G4", "G4", "B3", "G2"}};

// After BWV 65/2: tonicizations of vi and V in C. Source: tests/data/references/progressions.json,
// bach-65-tonicize, "no cadence outside C: tonicization, not modulation".
static const Chord tonicizing[] = {{"C5", "G4", "E4", "C3"}, {"E5", "G#4", "D4", "B2"},
                                   {"E5", "A4", "C4", "A2"}, {"D5", "A4", "C4", "F#2"},
                                   {"D5", "G4", "B3", "G2"}, {"C5", "G4", "E4", "C3"}};

static QfLabels*
label_with(const Chord* const chords, const size_t n, const QfKeyThresholds thresholds)
{
  const QfKey          home    = key_of("C", "major");
  const QfLabelOptions options = {
    .has_key = true, .key = home, .may_modulate = true, .thresholds = thresholds};
  Passage   passage = passage_new(home, N_VOICES);
  QfLabels* labels  = NULL;

  for (size_t i = 0; i < n; ++i) {
    passage_add(&passage, chords[i], qf_time(1, 4));
  }
  assert_int_equal(qf_labels_new(passage.score, options, &labels, NULL), QF_OK);
  passage_free(&passage);
  return labels;
}

static QfLabels*
label_modulating(const QfKeyThresholds thresholds)
{
  return label_with(modulating, sizeof(modulating) / sizeof(modulating[0]), thresholds);
}

static QfLabels*
label_tonicizing(const QfKeyThresholds thresholds)
{
  return label_with(tonicizing, sizeof(tonicizing) / sizeof(tonicizing[0]), thresholds);
}

static void
check_text(const QfLabels* const labels, const char* const expected)
{
  char text[400];

  labels_text(labels, text, sizeof(text));
  assert_string_equal(text, expected);
}

static void
check_key(const QfKeySpan* const span, const char* const expected)
{
  char text[16];

  qf_key_write(span->key, text, sizeof(text));
  assert_string_equal(text, expected);
}

static void
test_a_key_says_what_speaks_for_it(void** state)
{
  (void)state;

  QfLabels* const labels = label_modulating((QfKeyThresholds){0.0, 0.0});

  assert_int_equal(qf_labels_n_key_spans(labels), 2);

  const QfKeySpan* const home = qf_labels_get_key_span(labels, 0);
  const QfKeySpan* const away = qf_labels_get_key_span(labels, 1);

  check_key(home, "C major");
  check_key(away, "G major");
  assert_true(home->is_home && !away->is_home);
  assert_true(home->beats + away->beats == 9.0);
  assert_true(home->cadence == SIZE_MAX && home->returns == SIZE_MAX);
  assert_true(away->cadence != SIZE_MAX && away->returns == SIZE_MAX);
  assert_int_equal(qf_labels_get_cadence(labels, away->cadence)->kind,
                   QF_CADENCE_IMPERFECT); // Third on top
  assert_non_null(strstr(away->reason, "; an imperfect authentic cadence at m2 b3 confirms it."));
  assert_non_null(strstr(home->reason, "no cadence confirms it"));
  assert_false(away->is_tonicization);
  qf_labels_free(labels);
}

// Rule: Open Music Theory, "Modulation": a cadence in the new key makes it a modulation.
static void
test_a_short_modulation_becomes_applied_chords(void** state)
{
  (void)state;

  QfLabels* labels = label_modulating((QfKeyThresholds){20.0, 0.0});

  assert_int_equal(qf_labels_n_key_spans(labels), 1);
  check_text(labels, "I V65 I vi Cad64/V V7/V V V/V V");
  qf_labels_free(labels);

  // A cadence that counts enough keeps the key, and a length that is reached.
  labels = label_modulating((QfKeyThresholds){20.0, 20.0});
  assert_int_equal(qf_labels_n_key_spans(labels), 2);
  qf_labels_free(labels);
  labels = label_modulating((QfKeyThresholds){5.0, 0.0});
  assert_int_equal(qf_labels_n_key_spans(labels), 2);
  qf_labels_free(labels);
}

static void
test_a_long_tonicization_becomes_a_modulation(void** state)
{
  (void)state;

  QfLabels* labels = label_tonicizing((QfKeyThresholds){3.0, 0.0});

  check_text(labels, "I V43/vi vi V65/V V I");
  assert_int_equal(qf_labels_n_key_spans(labels), 1);
  qf_labels_free(labels);

  labels = label_tonicizing((QfKeyThresholds){2.0, 0.0});
  check_text(labels, "I V43 i V65 I I");
  assert_int_equal(qf_labels_n_key_spans(labels), 4);
  check_key(qf_labels_get_key_span(labels, 1), "A minor");
  check_key(qf_labels_get_key_span(labels, 2), "G major");
  assert_int_equal(qf_labels_get_key_span(labels, 1)->returns, 3);
  assert_non_null(strstr(qf_labels_get_key_span(labels, 1)->reason,
                         "C major returns at m2 b2, so one may hear a tonicization."));
  qf_labels_free(labels);
}

static void
test_a_pinned_key_is_left_alone(void** state)
{
  (void)state;

  const QfKey home    = key_of("C", "major");
  QfPin       pin     = {.start = qf_time(6, 4), .key = key_of("G", "major")};
  Passage     passage = passage_new(home, N_VOICES);
  QfLabels*   labels  = NULL;

  for (size_t i = 0; i < sizeof(modulating) / sizeof(modulating[0]); ++i) {
    passage_add(&passage, modulating[i], qf_time(1, 4));
  }
  assert_int_equal(qf_numeral_parse("I", QF_MAJOR, &pin.numeral, NULL), QF_OK);

  const QfLabelOptions options = {.has_key      = true,
                                  .key          = home,
                                  .may_modulate = true,
                                  .pins         = &pin,
                                  .n_pins       = 1,
                                  .thresholds   = {20.0, 0.0}};

  assert_int_equal(qf_labels_new(passage.score, options, &labels, NULL), QF_OK);
  assert_int_equal(qf_labels_n_key_spans(labels), 2);
  assert_true(qf_labels_get_key_span(labels, 1)->is_tonicization);
  qf_labels_free(labels);
  passage_free(&passage);
}

// Whatever the thresholds, the chords stay; every numeral means its chord

static const char* const pieces[] = {"tchaikovsky-183b", "tchaikovsky-183d", "tchaikovsky-185b",
                                     "tchaikovsky-189",  "tchaikovsky-195",  "rimsky-17b",
                                     "rimsky-23c",       "rimsky-23e",       "rimsky-23g"};

static QfScore*
open_piece(const char* const name)
{
  char     path[512];
  void*    data   = NULL;
  size_t   length = 0;
  QfScore* score  = NULL;

  snprintf(path, sizeof(path), "%s/textbooks/%s/score.musicxml", QF_TEST_DATA, name);
  assert_int_equal(qf_file_read(path, &data, &length, NULL), QF_OK);
  assert_int_equal(qf_musicxml_read(data, length, &score, NULL, NULL), QF_OK);
  free(data);
  return score;
}

static void
check_same_chords(const QfLabels* const labels, const QfLabels* const plain, const char* const name)
{
  for (size_t i = 0; i < qf_labels_n_links(plain); ++i) {
    const QfLabel* const link  = qf_labels_get_link(plain, i);
    const QfLabel* const other = qf_labels_get_link(labels, qf_labels_link_at(labels, link->start));
    QfChord              chord;

    if (link->is_known != other->is_known || link->chord.kind != other->chord.kind ||
        !qf_note_name_equals(link->chord.root, other->chord.root) ||
        link->chord.inversion != other->chord.inversion) {
      fail_msg("%s: link %zu has become another chord", name, i + 1);
    }
    if (other->is_known) {
      assert_int_equal(qf_numeral_chord(&other->numeral, other->key, &chord, NULL), QF_OK);
      assert_int_equal(chord.kind, other->chord.kind);
      assert_true(qf_note_name_equals(chord.root, other->chord.root));
    }
  }
}

static void
test_thresholds_leave_the_chords_alone(void** state)
{
  static const double least[] = {1.0, 4.0, 1000.0};

  (void)state;
  for (size_t p = 0; p < sizeof(pieces) / sizeof(pieces[0]); ++p) {
    QfScore* const score   = open_piece(pieces[p]);
    QfLabels*      plain   = NULL;
    QfLabelOptions options = {.may_modulate = true};

    assert_int_equal(qf_labels_new(score, options, &plain, NULL), QF_OK);
    for (size_t i = 0; i < sizeof(least) / sizeof(least[0]); ++i) {
      QfLabels* labels = NULL;

      options.thresholds.least_beats = least[i];
      assert_int_equal(qf_labels_new(score, options, &labels, NULL), QF_OK);
      check_same_chords(labels, plain, pieces[p]);
      qf_labels_free(labels);
    }
    qf_labels_free(plain);
    qf_score_free(score);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_a_key_says_what_speaks_for_it),
    cmocka_unit_test(test_a_short_modulation_becomes_applied_chords),
    cmocka_unit_test(test_a_long_tonicization_becomes_a_modulation),
    cmocka_unit_test(test_a_pinned_key_is_left_alone),
    cmocka_unit_test(test_thresholds_leave_the_chords_alone),
  };

  return cmocka_run_group_tests(tests, NULL, NULL);
}
