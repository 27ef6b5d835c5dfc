// SPDX-License-Identifier: MIT
#include "quintfall/explore.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#define N_ITEMS(array) (sizeof(array) / sizeof((array)[0]))

static QfKey
key_of(const char* const text)
{
  QfKey key = {{0, 0}, QF_MAJOR};
  assert_int_equal(QF_OK, qf_key_parse(text, &key, NULL));
  return key;
}

static QfNumeral
numeral_of(const char* const text, const QfMode mode)
{
  QfNumeral numeral = {0};
  if (qf_numeral_parse(text, mode, &numeral, NULL)) {
    fail_msg("%s", text);
  }
  return numeral;
}

static QfLink
link_of(const char* const text, const QfKey key)
{
  return (QfLink){key, numeral_of(text, key.mode), QF_TIME_ZERO, {1, 1}};
}

static QfVoicing
voicing_of(const char* const* const pitches)
{
  QfVoicing voicing = {0};
  for (size_t v = 0; v < QF_SATB; ++v) {
    assert_int_equal(QF_OK, qf_pitch_parse(pitches[v], &voicing.pitch[v], NULL));
  }
  return voicing;
}

static QfContinuations
explore(const QfExploreFrom from)
{
  QfContinuations found = {0};
  QfError         error = {0};
  if (qf_explore(&from, &found, &error)) {
    fail_msg("%s", error.text);
  }
  return found;
}

static QfContinuations
explore_text(const char* const numeral, const char* const key)
{
  return explore(
    (QfExploreFrom){.link = link_of(numeral, key_of(key)), .profile = QF_PROFILE_COMMON});
}

/// The item of a numeral, or NULL
static const QfContinuation*
find(const QfContinuations* const found, const char* const text, const QfMode mode)
{
  const QfNumeral numeral = numeral_of(text, mode);
  for (size_t i = 0; i < found->n_items; ++i) {
    if (qf_numeral_equals(&found->items[i].numeral, &numeral)) {
      return &found->items[i];
    }
  }
  return NULL;
}

typedef struct {
  const char*  key;
  const char*  from;
  const char*  to;
  QfResolution resolution;
  QfStock      stock;
  const char*  motion;
} Row;

// common practice (every textbook of tonal harmony): what a chord leads one to expect, what chords
// are called, and how far their roots lie apart.
static const Row rows[] = {
  {"C", "V7", "I", QF_RESOLUTION_KEPT, QF_STOCK_DIATONIC, "falling fifth"},
  {"C", "V7", "vi", QF_RESOLUTION_DECEPTIVE, QF_STOCK_DIATONIC, "rising step"},
  {"c", "V7", "VI", QF_RESOLUTION_DECEPTIVE, QF_STOCK_DIATONIC, "rising step"},
  {"C", "V7", "bVI", QF_RESOLUTION_DECEPTIVE, QF_STOCK_MIXTURE, "rising step"},
  {"C", "V7", "V65", QF_RESOLUTION_PROLONGED, QF_STOCK_DIATONIC, "same root"},
  {"C", "V7", "V7/IV", QF_RESOLUTION_CHAINED, QF_STOCK_APPLIED, "falling fifth"},
  {"C", "V7", "V7/V", QF_RESOLUTION_DEFLECTED, QF_STOCK_APPLIED, "rising fifth"},
  {"C", "vii/o7", "I", QF_RESOLUTION_KEPT, QF_STOCK_DIATONIC, "rising step"},
  {"C", "V7/ii", "ii", QF_RESOLUTION_KEPT, QF_STOCK_DIATONIC, "falling fifth"},
  {"C", "V7/ii", "V7/V", QF_RESOLUTION_CHAINED, QF_STOCK_APPLIED, "falling fifth"},
  {"C", "V7/ii", "V7/vi", QF_RESOLUTION_DEFLECTED, QF_STOCK_APPLIED, "rising fifth"},
  {"C", "V7/vi", "IV", QF_RESOLUTION_DECEPTIVE, QF_STOCK_DIATONIC, "rising step"},
  {"C", "V7/V", "Cad64", QF_RESOLUTION_KEPT, QF_STOCK_DIATONIC, "falling step"},
  {"C", "V7/V", "V7", QF_RESOLUTION_CHAINED, QF_STOCK_DIATONIC, "falling fifth"},
  {"c", "viio7/V", "V", QF_RESOLUTION_KEPT, QF_STOCK_DIATONIC, "rising step"},
  {"c", "Ger65", "Cad64", QF_RESOLUTION_KEPT, QF_STOCK_DIATONIC, "rising diminished fifth"},
  {"c", "It6", "V", QF_RESOLUTION_KEPT, QF_STOCK_DIATONIC, "rising step"},
  {"c", "N6", "V", QF_RESOLUTION_KEPT, QF_STOCK_DIATONIC, "falling diminished fifth"},
  {"C", "Cad64", "V", QF_RESOLUTION_KEPT, QF_STOCK_DIATONIC, "rising fifth"},
  {"C", "I", "vi", QF_RESOLUTION_NONE, QF_STOCK_DIATONIC, "falling third"},
  {"C", "ii6", "V", QF_RESOLUTION_NONE, QF_STOCK_DIATONIC, "falling fifth"},
  {"C", "IV", "iv", QF_RESOLUTION_NONE, QF_STOCK_MIXTURE, "same root"},
  {"C", "I", "N6", QF_RESOLUTION_NONE, QF_STOCK_NEAPOLITAN, "rising step"},
  {"c", "iv6", "Fr43", QF_RESOLUTION_NONE, QF_STOCK_AUGMENTED_SIXTH, "falling third"},
};

static void
test_textbook_facts(void** const state)
{
  (void)state;
  for (size_t i = 0; i < N_ITEMS(rows); ++i) {
    const Row* const            row   = &rows[i];
    const QfMode                mode  = key_of(row->key).mode;
    QfContinuations             found = explore_text(row->from, row->key);
    const QfContinuation* const item  = find(&found, row->to, mode);
    char                        motion[48];
    if (!item) {
      fail_msg("%s: %s to %s is not offered", row->key, row->from, row->to);
    }
    qf_root_motion_describe(item->motion, motion, sizeof(motion));
    if (item->resolution != row->resolution || item->stock != row->stock ||
        strcmp(motion, row->motion) != 0) {
      fail_msg("%s: %s to %s: %s, %s, %s", row->key, row->from, row->to,
               qf_resolution_name(item->resolution), qf_stock_name(item->stock), motion);
    }
    assert_true(strlen(item->reason) > 10 && item->reason[strlen(item->reason) - 1U] == '.');
    qf_continuations_clear(&found);
  }
}

/// common practice: what no textbook lets follow is not offered unless the corpus has it
static void
test_what_is_not_offered(void** const state)
{
  (void)state;
  static const char* const rows_[][3] = {
    {"C", "Ger65", "ii"}, {"C", "Ger65", "IV"}, {"C", "Cad64", "ii"}, {"C", "V7", "N6"},
    {"C", "V7", "It6"},   {"C", "N6", "vi"},    {"c", "V7", "iio6"},
  };
  for (size_t i = 0; i < N_ITEMS(rows_); ++i) {
    QfContinuations found = explore_text(rows_[i][1], rows_[i][0]);
    if (find(&found, rows_[i][2], key_of(rows_[i][0]).mode)) {
      fail_msg("%s to %s is offered", rows_[i][1], rows_[i][2]);
    }
    qf_continuations_clear(&found);
  }
}

/// common practice: the commonest goal of the dominant seventh is the tonic, and the commonest
/// deception leads to the sixth degree
static void
test_the_commonest_comes_first(void** const state)
{
  (void)state;
  QfContinuations major     = explore_text("V7", "Eb");
  QfContinuations minor     = explore_text("V7", "f#");
  const QfNumeral one       = numeral_of("I", QF_MAJOR);
  const QfNumeral minor_one = numeral_of("i", QF_MINOR);
  const QfNumeral six       = numeral_of("vi", QF_MAJOR);

  assert_true(qf_numeral_equals(&major.items[0].numeral, &one));
  assert_true(major.items[0].share > 0.5);
  assert_true(qf_numeral_equals(&major.items[1].numeral, &six));
  assert_true(qf_numeral_equals(&minor.items[0].numeral, &minor_one));
  qf_continuations_clear(&major);
  qf_continuations_clear(&minor);
}

static void
check_order(const QfContinuations* const found)
{
  double   shares = 0.0;
  unsigned counts = found->n_leaving;

  for (size_t i = 0; i < found->n_items; ++i) {
    const QfContinuation* const item = &found->items[i];
    shares += item->share;
    counts += item->count;
    if (i) {
      const QfContinuation* const before = item - 1;
      assert_true(before->count >= item->count);
      assert_true(
        before->count > item->count || item->cost < 0 ||
        (before->cost >= 0 && (before->cost <= item->cost || before->n_errors < item->n_errors)));
    }
  }
  assert_true(shares <= 1.0 + 1e-9);
  assert_true(counts <= found->n_moves);
}

/// The same chord in every key is followed by the same chords as often
static void
test_keys_are_alike(void** const state)
{
  (void)state;
  static const char* const numerals[][2] = {
    {"I", "i"}, {"V7", "V7"}, {"ii65", "ii/o65"}, {"V65/V", "V65/V"}, {"N6", "N6"}};

  for (size_t n = 0; n < N_ITEMS(numerals); ++n) {
    for (int mode = QF_MAJOR; mode <= QF_MINOR; ++mode) {
      QfContinuations first = explore_text(numerals[n][mode], mode == QF_MAJOR ? "C" : "a");
      check_order(&first);
      for (int fifths = -7; fifths <= 7; ++fifths) {
        QfKey key = {{0, 0}, QF_MAJOR};
        assert_int_equal(QF_OK, qf_key_from_fifths(fifths, (QfMode)mode, &key));
        QfContinuations found = explore(
          (QfExploreFrom){.link = link_of(numerals[n][mode], key), .profile = QF_PROFILE_COMMON});
        check_order(&found);
        assert_int_equal(first.n_moves, found.n_moves);
        for (size_t i = 0; i < first.n_items && first.items[i].count; ++i) {
          assert_int_equal(first.items[i].count, found.items[i].count);
        }
        qf_continuations_clear(&found);
      }
      qf_continuations_clear(&first);
    }
  }
}

/// The voicing that sounds is the one gone on from, and where the profile allows a step it is
/// free of the profile's errors
static void
test_voice_leading(void** const state)
{
  (void)state;
  // common practice: in a complete dominant seventh in close position over its root, going to the
  // tonic, the seventh F falls to E and the leading tone B rises to C.
  static const char* const seventh[] = {"D4", "B3", "F3", "G2"};
  const QfVoicing          voicing   = voicing_of(seventh);
  const QfLink             link      = link_of("V7", key_of("C"));
  const QfExploreFrom      from = {.link = link, .voicing = &voicing, .profile = QF_PROFILE_COMMON};
  QfContinuations          found    = explore(from);
  const QfContinuation* const tonic = find(&found, "I", QF_MAJOR);

  assert_non_null(tonic);
  assert_memory_equal(&voicing, &found.voicing, sizeof(voicing));
  assert_int_equal(0, qf_pitch_compare(tonic->voicing.pitch[1], (QfPitch){0, 0, 4}));
  assert_int_equal(0, qf_pitch_compare(tonic->voicing.pitch[2], (QfPitch){2, 0, 3}));
  for (size_t i = 0; i < found.n_items; ++i) {
    const QfContinuation* const item = &found.items[i];
    QfNoteName                  bass = {0, 0};
    assert_int_equal(QF_OK, qf_chord_bass(item->chord, &bass));
    assert_true(qf_note_name_equals(bass, qf_pitch_name(item->voicing.pitch[3])));
    if (item->cost >= 0) {
      assert_int_equal(0, item->n_errors);
    }
    if (item->n_errors) {
      assert_true(item->finding[0]);
    }
  }
  qf_continuations_clear(&found);
}

/// A chord that has notes outside it is gone on from all the same
static void
test_a_voicing_with_a_foreign_note(void** const state)
{
  (void)state;
  static const char* const suspended[] = {"C5", "D4", "G3", "G2"};
  const QfVoicing          voicing     = voicing_of(suspended);
  const QfLink             link        = link_of("V", key_of("C"));
  const QfExploreFrom      from = {.link = link, .voicing = &voicing, .profile = QF_PROFILE_STRICT};
  QfContinuations          found = explore(from);
  assert_non_null(find(&found, "I", QF_MAJOR));
  qf_continuations_clear(&found);
}

/// Notes that stay are kept where they belong to the chord; where they do not, that is said
static void
test_notes_that_stay(void** const state)
{
  (void)state;
  static const char* const tonic[] = {"G4", "E4", "C4", "C3"};
  const QfVoicing          voicing = voicing_of(tonic);
  const QfKept             kept[]  = {{0, 0, {3, 0, 4}}, {0, 3, {3, 0, 3}}}; // F4 over F3
  const QfExploreFrom      from    = {.link    = link_of("I", key_of("C")),
                                      .voicing = &voicing,
                                      .kept    = kept,
                                      .n_kept  = 2,
                                      .profile = QF_PROFILE_COMMON};
  QfContinuations          found   = explore(from);
  const QfContinuation*    four    = find(&found, "IV", QF_MAJOR);
  const QfContinuation*    five    = find(&found, "V", QF_MAJOR);

  assert_non_null(four);
  assert_non_null(five);
  // common practice: F belongs to F A C and not to G B D.
  assert_true(four->has_kept);
  assert_true(qf_pitch_equals(four->voicing.pitch[0], kept[0].pitch));
  assert_true(qf_pitch_equals(four->voicing.pitch[3], kept[1].pitch));
  assert_false(five->has_kept);
  qf_continuations_clear(&found);
}

/// What follows now is marked, and what stays after it is joined without a fault where one can
static void
test_what_stands_after(void** const state)
{
  (void)state;
  const QfKey              key       = key_of("C");
  static const char* const first[]   = {"E5", "C5", "G4", "C4"};
  static const char* const last[]    = {"E5", "C5", "G4", "C4"};
  const QfVoicing          voicing   = voicing_of(first);
  const QfVoicing          after     = voicing_of(last);
  const QfLink             next      = link_of("V7", key);
  const QfLink             goal      = link_of("I", key);
  QfContinuations          found     = explore((QfExploreFrom){.link          = link_of("I", key),
                                                               .voicing       = &voicing,
                                                               .next          = &next,
                                                               .after         = &goal,
                                                               .after_voicing = &after,
                                                               .profile       = QF_PROFILE_COMMON});
  size_t                   n_present = 0;

  for (size_t i = 0; i < found.n_items; ++i) {
    n_present += found.items[i].is_present;
  }
  assert_int_equal(1, n_present);
  const QfContinuation* const seventh = find(&found, "V7", QF_MAJOR);
  assert_non_null(seventh);
  assert_true(seventh->is_present);

  // common practice: the seventh F falls to the E that stays; it is in the voice above that E.
  size_t voice = QF_SATB;
  for (size_t v = 0; v < QF_SATB; ++v) {
    voice = seventh->voicing.pitch[v].letter == 3 ? v : voice;
  }
  assert_true(voice < QF_SATB);
  assert_int_equal(2, after.pitch[voice].letter);
  qf_continuations_clear(&found);
}

/// The labels of a passage say the same of resolution and root motion as exploring it does
static void
test_labels_agree(void** const state)
{
  (void)state;
  static const char* const froms[][2] = {{"C", "V7"},    {"C", "I"},      {"C", "ii65"},
                                         {"C", "V7/ii"}, {"C", "vii/o7"}, {"c", "V65/iv"},
                                         {"c", "Ger65"}, {"c", "N6"},     {"c", "viio7"}};
  QfMetre                  metre      = {0};
  assert_int_equal(QF_OK, qf_metre(4, 4, &metre));

  for (size_t f = 0; f < N_ITEMS(froms); ++f) {
    const QfKey     key   = key_of(froms[f][0]);
    QfContinuations found = explore_text(froms[f][1], froms[f][0]);
    for (size_t i = 0; i < found.n_items; ++i) {
      const QfContinuation* const item       = &found.items[i];
      const QfVoicing             voicings[] = {found.voicing, item->voicing};
      const QfLink                links[]    = {
                          link_of(froms[f][1], key),
                          {key, item->numeral, {1, 1}, {1, 1}},
      };
      const QfPin    pins[] = {{links[0].start, key, links[0].numeral},
                               {links[1].start, key, links[1].numeral}};
      QfScore* const score  = qf_score_new_satb(key, metre, QF_TIME_ZERO, 2);
      QfLabels*      labels = NULL;
      assert_int_equal(QF_OK, qf_realise_into(score, links, 2, voicings));
      assert_int_equal(
        QF_OK, qf_labels_new(
                 score, (QfLabelOptions){.has_key = true, .key = key, .pins = pins, .n_pins = 2},
                 &labels, NULL));
      const QfLabel* const label = qf_labels_get_link(labels, 0);
      if (label->resolution != item->resolution || label->motion.steps != item->motion.steps ||
          label->motion.semitones != item->motion.semitones) {
        char numeral[QF_NUMERAL_TEXT_SIZE];
        qf_numeral_write(&item->numeral, key.mode, numeral, sizeof(numeral));
        fail_msg("%s: %s to %s: explored %s, labelled %s", froms[f][0], froms[f][1], numeral,
                 qf_resolution_name(item->resolution), qf_resolution_name(label->resolution));
      }
      qf_labels_free(labels);
      qf_score_free(score);
    }
    qf_continuations_clear(&found);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_textbook_facts),
    cmocka_unit_test(test_what_is_not_offered),
    cmocka_unit_test(test_the_commonest_comes_first),
    cmocka_unit_test(test_keys_are_alike),
    cmocka_unit_test(test_voice_leading),
    cmocka_unit_test(test_a_voicing_with_a_foreign_note),
    cmocka_unit_test(test_notes_that_stay),
    cmocka_unit_test(test_what_stands_after),
    cmocka_unit_test(test_labels_agree),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
