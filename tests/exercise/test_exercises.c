// SPDX-License-Identifier: MIT
#include "tsv.h"

#include "quintfall/exercise.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { SEEDS_A_LEVEL = 8 };

static QfExercise
make(const QfExerciseOptions options)
{
  QfExercise made  = {0};
  QfError    error = {0};
  if (qf_exercise_make(&options, &made, &error)) {
    fail_msg("level %d, seed %llu: %s", options.level, (unsigned long long)options.seed,
             error.text);
  }
  return made;
}

/// Row of a numeral in the reference table, or SIZE_MAX
static size_t
find_row(const Tsv* const table, const QfLink* const link)
{
  char key[16];
  char numeral[QF_NUMERAL_TEXT_SIZE];
  qf_note_name_write(link->key.tonic, key, sizeof(key));
  qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
  for (size_t row = 0; row < table->n_rows; ++row) {
    if (!strcmp(tsv_cell(table, row, "key"), key) &&
        !strcmp(tsv_cell(table, row, "rntxt_ascii"), numeral) &&
        !strcmp(tsv_cell(table, row, "mode"), link->key.mode == QF_MAJOR ? "major" : "minor")) {
      return row;
    }
  }
  return SIZE_MAX;
}

/// Note names of a table cell, "C3 E3 G3"
static size_t
read_notes(const char* text, QfNoteName notes[QF_CHORD_MAX_NOTES])
{
  size_t n = 0;
  while (*text && n < QF_CHORD_MAX_NOTES) {
    const char* end = NULL;
    assert_int_equal(qf_note_name_parse(text, &notes[n++], &end, NULL), QF_OK);
    end += strcspn(end, " ");
    text = end + strspn(end, " ");
  }
  return n;
}

static bool
contains(const QfNoteName* const notes, const size_t n, const QfNoteName name)
{
  for (size_t i = 0; i < n; ++i) {
    if (qf_note_name_equals(notes[i], name)) {
      return true;
    }
  }
  return false;
}

/// The four notes that sound are notes of the table's chord, its bass lowest, at most one missing
static void
check_chord(const Tsv* const table, const QfScore* const score, const QfLink* const link)
{
  QfNoteName   notes[QF_CHORD_MAX_NOTES];
  QfNoteName   sounding[QF_SATB];
  char         numeral[QF_NUMERAL_TEXT_SIZE];
  const size_t row = find_row(table, link);
  qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
  if (row == SIZE_MAX) {
    fail_msg("%s is not in the table", numeral);
  }
  const size_t n         = read_notes(tsv_cell(table, row, "notes_bass_to_top_close"), notes);
  size_t       n_missing = 0;
  for (size_t v = 0; v < QF_SATB; ++v) {
    const QfNote* const note = qf_score_note_at(score, v, link->start);
    assert_non_null(note);
    sounding[v] = qf_pitch_name(note->pitch);
    if (!contains(notes, n, sounding[v])) {
      fail_msg("%s: voice %zu sings a foreign note", numeral, v);
    }
  }
  for (size_t i = 0; i < n; ++i) {
    n_missing += !contains(sounding, QF_SATB, notes[i]);
  }
  assert_true(qf_note_name_equals(sounding[QF_SATB - 1], notes[0]));
  assert_true(n_missing <= 1);
}

// Source: roman_numerals.tsv, the reference table of numerals in all keys
static void
test_notes_are_those_of_the_reference_table(void** state)
{
  (void)state;
  Tsv table = tsv_open("roman_numerals");
  for (int level = 1; level <= QF_EXERCISE_N_LEVELS; ++level) {
    for (uint64_t seed = 1; seed <= SEEDS_A_LEVEL; ++seed) {
      QfExerciseOptions options = qf_exercise_options(level, seed);
      options.n_foreign         = 0;
      QfExercise made           = make(options);
      for (size_t i = 0; i < made.n_links; ++i) {
        check_chord(&table, qf_lesson_get_score(made.lesson), &made.links[i]);
      }
      qf_exercise_clear(&made);
    }
  }
  tsv_free(&table);
}

/// What a reader of the file sees: labels anew, and no error of part-writing
static void
check_file(QfExercise* const made)
{
  char*      json     = NULL;
  QfLesson*  read     = NULL;
  QfFindings findings = {0};
  QfError    error    = {0};
  assert_int_equal(qf_lesson_to_json(made->lesson, &json, NULL), QF_OK);
  assert_int_equal(qf_lesson_from_json(json, strlen(json), &read, NULL), QF_OK);
  qf_lesson_free(made->lesson);
  made->lesson = read;
  free(json);

  if (!qf_exercise_labels_hold(made, &error)) {
    fail_msg("level %d: %s", made->level, error.text);
  }
  assert_int_equal(qf_check(qf_lesson_get_score(read), qf_lesson_get_labels(read),
                            QF_PROFILE_COMMON, &findings, NULL),
                   QF_OK);
  assert_int_equal(qf_findings_count(&findings, QF_SEVERITY_ERROR), 0);
  assert_int_equal(qf_lesson_n_pins(read), 0);
  qf_findings_clear(&findings);
}

static void
test_labels_are_what_was_asked(void** state)
{
  (void)state;
  for (int level = 1; level <= QF_EXERCISE_N_LEVELS; ++level) {
    for (uint64_t seed = 1; seed <= SEEDS_A_LEVEL; ++seed) {
      QfExercise made = make(qf_exercise_options(level, seed));
      check_file(&made);
      qf_exercise_clear(&made);
    }
  }
}

static void
test_another_chain_does_not_hold(void** state)
{
  (void)state;
  QfExerciseOptions options = qf_exercise_options(4, 5);
  options.n_keys            = 1;
  options.keys[0]           = (QfKey){{0, 0}, QF_MAJOR};
  QfExercise made           = make(options);
  QfError    error          = {0};
  assert_int_equal(qf_numeral_parse("bVI", made.key.mode, &made.links[1].numeral, NULL), QF_OK);
  assert_false(qf_exercise_labels_hold(&made, &error));
  assert_non_null(strstr(error.text, "bVI"));
  qf_exercise_clear(&made);
}

static void
test_the_same_seed_gives_the_same_bytes(void** state)
{
  (void)state;
  for (int level = 1; level <= QF_EXERCISE_N_LEVELS; ++level) {
    QfExercise a        = make(qf_exercise_options(level, 99));
    QfExercise b        = make(qf_exercise_options(level, 99));
    QfExercise c        = make(qf_exercise_options(level, 100));
    char*      texts[3] = {NULL};
    assert_int_equal(qf_lesson_to_json(a.lesson, &texts[0], NULL), QF_OK);
    assert_int_equal(qf_lesson_to_json(b.lesson, &texts[1], NULL), QF_OK);
    assert_int_equal(qf_lesson_to_json(c.lesson, &texts[2], NULL), QF_OK);
    assert_string_equal(texts[0], texts[1]);
    assert_string_not_equal(texts[0], texts[2]);
    for (size_t i = 0; i < 3; ++i) {
      free(texts[i]);
    }
    qf_exercise_clear(&a);
    qf_exercise_clear(&b);
    qf_exercise_clear(&c);
  }
}

/// The chain in RomanText with its rhythm: equal for exercises that differ in their key alone
static void
write_chain(const QfExercise* const made, char* const text, const size_t size)
{
  text[0] = '\0';
  for (size_t i = 0; i < made->n_links; ++i) {
    char numeral[QF_NUMERAL_TEXT_SIZE];
    char time[48];
    char item[160];
    qf_numeral_write(&made->links[i].numeral, made->links[i].key.mode, numeral, sizeof(numeral));
    qf_time_write(made->links[i].duration, time, sizeof(time));
    snprintf(item, sizeof(item), "%d%s %s ",
             qf_key_fifths(made->links[i].key) - qf_key_fifths(made->key), numeral, time);
    strncat(text, item, size - strlen(text) - 1U);
  }
}

static void
test_no_two_of_a_set_are_alike(void** state)
{
  (void)state;
  enum { COUNT = 30, SIZE = 1024 };
  static char          chains[COUNT][SIZE];
  QfExerciseSet* const set = qf_exercise_set_new(qf_exercise_options(1, 3));
  for (size_t i = 0; i < COUNT; ++i) {
    QfExercise made = {0};
    assert_int_equal(qf_exercise_set_next(set, NULL, NULL, &made, NULL), QF_OK);
    write_chain(&made, chains[i], SIZE);
    for (size_t j = 0; j < i; ++j) {
      assert_string_not_equal(chains[i], chains[j]);
    }
    qf_exercise_clear(&made);
  }
  qf_exercise_set_free(set);
}

static void
test_a_set_that_runs_out_says_so(void** state)
{
  (void)state;
  QfExerciseOptions options  = qf_exercise_options(1, 3);
  options.n_chords           = 3;
  options.n_bars             = 3;
  QfExerciseSet* const set   = qf_exercise_set_new(options);
  QfStatus             st    = QF_OK;
  QfError              error = {0};
  for (int i = 0; i < 40 && !st; ++i) {
    QfExercise made = {0};
    st              = qf_exercise_set_next(set, NULL, NULL, &made, &error);
    qf_exercise_clear(&made);
  }
  assert_int_equal(st, QF_ERR_IMPOSSIBLE);
  assert_non_null(strstr(error.text, "no more than"));
  qf_exercise_set_free(set);
}

static bool
count_to_three_cb(void* const data)
{
  return ++*(size_t*)data <= 3U;
}

static void
test_a_set_can_be_cancelled_between_tries(void** state)
{
  (void)state;
  size_t               n_calls = 0;
  QfExerciseSet* const set     = qf_exercise_set_new(qf_exercise_options(1, 3));
  QfStatus             st      = QF_OK;
  for (int i = 0; i < 40 && !st; ++i) {
    QfExercise made = {0};
    st              = qf_exercise_set_next(set, count_to_three_cb, &n_calls, &made, NULL);
    qf_exercise_clear(&made);
  }
  assert_int_equal(st, QF_ERR_CANCELLED);
  assert_int_equal(n_calls, 4);
  qf_exercise_set_free(set);
}

static void
test_a_set_mixes_metres_and_rhythms(void** state)
{
  (void)state;
  static const char* const names[] = {"3/4", "4/4", "6/8"};
  QfExerciseOptions        options = qf_exercise_options(4, 8);
  options.n_foreign                = 0;
  options.rhythms                  = (1U << QF_RHYTHM_BARS) | (1U << QF_RHYTHM_BEATS);
  options.n_metres                 = 3;
  for (size_t i = 0; i < 3; ++i) {
    assert_int_equal(qf_metre_parse(names[i], &options.metres[i], NULL), QF_OK);
  }

  unsigned             seen_metres  = 0;
  unsigned             seen_rhythms = 0;
  QfExerciseSet* const set          = qf_exercise_set_new(options);
  for (int i = 0; i < 24; ++i) {
    QfExercise made = {0};
    assert_int_equal(qf_exercise_set_next(set, NULL, NULL, &made, NULL), QF_OK);
    const QfScore* const score = qf_lesson_get_score(made.lesson);
    const QfMetre        metre = qf_score_get_bar(score, 0)->metre;
    size_t               index = 0;
    while (index < 3 && !qf_metre_equals(metre, options.metres[index])) {
      ++index;
    }
    assert_true(index < 3);
    assert_true(qf_metre_equals(metre, made.metre));
    // One chord a bar, or one on every beat of all bars but the last: counted by hand
    const size_t n_bars = qf_score_n_bars(score);
    const size_t beats  = metre.numerator == 6 ? 2U : metre.numerator;
    assert_int_equal(made.n_links,
                     made.rhythm == QF_RHYTHM_BARS ? n_bars : (n_bars - 1U) * beats + 1U);
    seen_metres |= 1U << index;
    seen_rhythms |= 1U << (unsigned)made.rhythm;
    qf_exercise_clear(&made);
  }
  assert_int_equal(seen_metres, 7);
  assert_int_equal(seen_rhythms, options.rhythms);
  qf_exercise_set_free(set);
}

/// Keys of a chain in order, each told once
static size_t
keys_of(const QfExercise* const made, QfKey keys[QF_EXERCISE_MAX_CHORDS])
{
  size_t n = 0;
  for (size_t i = 0; i < made->n_links; ++i) {
    if (!n || !qf_key_equals(keys[n - 1U], made->links[i].key)) {
      keys[n++] = made->links[i].key;
    }
  }
  return n;
}

static void
test_modulations_return(void** state)
{
  (void)state;
  for (uint64_t seed = 1; seed <= 6; ++seed) {
    QfExerciseOptions options = qf_exercise_options(8, seed);
    QfKey             keys[QF_EXERCISE_MAX_CHORDS];
    options.n_foreign  = 0;
    options.modulation = QF_MODULATION_RETURN;
    QfExercise made    = make(options);
    assert_int_equal(keys_of(&made, keys), 3);
    assert_true(qf_key_equals(keys[0], keys[2]));
    // Rule: OMT "Modulation": closely related keys differ by at most one sign.
    assert_true(abs(qf_key_fifths(keys[1]) - qf_key_fifths(keys[0])) <= 1);
    check_file(&made);
    qf_exercise_clear(&made);

    options.modulation = QF_MODULATION_STAY;
    made               = make(options);
    assert_int_equal(keys_of(&made, keys), 1);
    qf_exercise_clear(&made);
  }
}

/// True if a numeral begins like this in some link
static bool
has_numeral(const QfExercise* const made, const char* const part)
{
  for (size_t i = 0; i < made->n_links; ++i) {
    char numeral[QF_NUMERAL_TEXT_SIZE];
    qf_numeral_write(&made->links[i].numeral, made->links[i].key.mode, numeral, sizeof(numeral));
    if (strstr(numeral, part)) {
      return true;
    }
  }
  return false;
}

static void
test_what_is_required_appears(void** state)
{
  (void)state;
  const struct {
    QfUse       use;
    const char* parts[3];
  } rows[] = {
    {QF_USE_NEAPOLITAN, {"N6"}},   {QF_USE_AUGMENTED_SIXTHS, {"It6", "Fr43", "Ger65"}},
    {QF_USE_APPLIED, {"/"}},       {QF_USE_APPLIED_LEADING, {"vii"}},
    {QF_USE_CADENTIAL, {"Cad64"}}, {QF_USE_LEADING_TONE, {"vii"}},
  };
  for (size_t r = 0; r < sizeof(rows) / sizeof(rows[0]); ++r) {
    for (uint64_t seed = 1; seed <= 5; ++seed) {
      QfExerciseOptions options = qf_exercise_options(7, seed);
      options.required          = rows[r].use;
      options.n_foreign         = 0;
      QfExercise made           = make(options);
      bool       found          = false;
      for (size_t p = 0; p < 3 && rows[r].parts[p]; ++p) {
        found = found || has_numeral(&made, rows[r].parts[p]);
      }
      if (!found) {
        fail_msg("%s: not there with seed %d", qf_use_id(rows[r].use), (int)seed);
      }
      assert_true(made.uses & rows[r].use);
      qf_exercise_clear(&made);
    }
  }
}

/// A chain is two applied sevenths whose roots fall by a fifth
static void
test_chains_fall_by_fifths(void** state)
{
  (void)state;
  for (uint64_t seed = 1; seed <= 10; ++seed) {
    QfExerciseOptions options = qf_exercise_options(5, seed);
    options.required          = QF_USE_CHAINS;
    options.n_foreign         = 0;
    QfExercise made           = make(options);
    bool       found          = false;
    for (size_t i = 0; i + 1U < made.n_links; ++i) {
      const QfNumeral* const a = &made.links[i].numeral;
      const QfNumeral* const b = &made.links[i + 1U].numeral;
      QfChord                chords[2];
      assert_int_equal(qf_numeral_chord(a, made.links[i].key, &chords[0], NULL), QF_OK);
      assert_int_equal(qf_numeral_chord(b, made.links[i + 1U].key, &chords[1], NULL), QF_OK);
      const QfInterval motion = qf_interval_between_names(chords[0].root, chords[1].root);
      found =
        found || (a->n_targets && b->n_targets && motion.steps == 3 && motion.semitones == 5 &&
                  chords[0].kind == QF_CHORD_DOM7 && chords[1].kind == QF_CHORD_DOM7);
    }
    assert_true(found);
    qf_exercise_clear(&made);
  }
}

static void
test_only_chosen_degrees_are_tonicized(void** state)
{
  (void)state;
  for (uint64_t seed = 1; seed <= 8; ++seed) {
    QfExerciseOptions options = qf_exercise_options(4, seed);
    options.applied_degrees   = 1U << 5U;
    options.n_foreign         = 0;
    QfExercise made           = make(options);
    for (size_t i = 0; i < made.n_links; ++i) {
      const QfNumeral* const numeral = &made.links[i].numeral;
      assert_true(!numeral->n_targets || numeral->targets[0].degree == 5);
    }
    assert_true(has_numeral(&made, "/V"));
    qf_exercise_clear(&made);
  }
}

static void
test_inversions_stay_as_allowed(void** state)
{
  (void)state;
  for (uint64_t seed = 1; seed <= 8; ++seed) {
    QfExerciseOptions options = qf_exercise_options(4, seed);
    options.inversions        = QF_INVERSION_FIRST;
    options.n_foreign         = 0;
    QfExercise made           = make(options);
    for (size_t i = 0; i < made.n_links; ++i) {
      const QfNumeral* const numeral = &made.links[i].numeral;
      assert_true(numeral->inversion <= 1 || numeral->form == QF_NUMERAL_CADENTIAL);
    }
    qf_exercise_clear(&made);
  }
}

/// Every kind of note outside the chords is put in, and seen as what it is by the labels
static void
test_notes_outside_the_chords_are_of_the_kind_asked(void** state)
{
  (void)state;
  const struct {
    unsigned      bit;
    QfForeignKind kind;
  } rows[] = {
    {QF_EXERCISE_PASSING, QF_FOREIGN_PASSING},
    {QF_EXERCISE_NEIGHBOUR, QF_FOREIGN_NEIGHBOUR},
    {QF_EXERCISE_SUSPENSION, QF_FOREIGN_SUSPENSION},
  };
  for (size_t r = 0; r < 3; ++r) {
    size_t n = 0;
    for (uint64_t seed = 1; seed <= 5; ++seed) {
      QfExerciseOptions options    = qf_exercise_options(3, seed);
      options.foreign              = rows[r].bit;
      options.n_foreign            = 3;
      QfExercise            made   = make(options);
      const QfLabels* const labels = qf_lesson_get_labels(made.lesson);
      size_t                here   = 0;
      for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
        const QfLabel* const label = qf_labels_get_link(labels, i);
        for (size_t f = 0; f < label->n_foreign; ++f) {
          assert_int_equal(label->foreign[f].kind, rows[r].kind);
          ++here;
        }
      }
      assert_true(here <= options.n_foreign);
      n += here;
      qf_exercise_clear(&made);
    }
    assert_true(n >= 5);
  }
}

static void
test_modulations_end_in_a_near_key(void** state)
{
  (void)state;
  for (uint64_t seed = 1; seed <= 8; ++seed) {
    QfExerciseOptions options = qf_exercise_options(8, seed);
    options.modulation        = QF_MODULATION_LEAVE;
    QfExercise  made          = make(options);
    const QfKey away          = made.links[made.n_links - 1U].key;
    assert_true(qf_key_equals(made.links[0].key, made.key));
    assert_false(qf_key_equals(away, made.key));
    // Source: OMT "Modulation": at most one sign more or less
    assert_true(abs(qf_key_fifths(away) - qf_key_fifths(made.key)) <= 1);
    assert_int_equal(made.links[made.n_links - 1U].numeral.degree, 1);
    qf_exercise_clear(&made);
  }
}

static void
test_given_notes_follow_the_option(void** state)
{
  (void)state;
  const struct {
    QfExerciseGivens givens;
    bool             first[QF_SATB];
    bool             second[QF_SATB];
  } rows[] = {
    {QF_GIVE_OUTER, {true, false, false, true}, {true, false, false, true}},
    {QF_GIVE_BASS, {false, false, false, true}, {false, false, false, true}},
    {QF_GIVE_FIRST_CHORD, {true, true, true, true}, {false, false, false, false}},
    {QF_GIVE_FIRST_OUTER, {true, false, false, true}, {false, false, false, false}},
    {QF_GIVE_NOTHING, {false, false, false, false}, {false, false, false, false}},
  };
  for (size_t r = 0; r < sizeof(rows) / sizeof(rows[0]); ++r) {
    QfExerciseOptions options  = qf_exercise_options(2, 4);
    options.givens             = rows[r].givens;
    QfExercise           made  = make(options);
    const QfScore* const score = qf_lesson_get_score(made.lesson);
    for (size_t v = 0; v < QF_SATB; ++v) {
      assert_int_equal(qf_lesson_is_given(made.lesson, qf_score_get_note(score, v, 0)->id),
                       rows[r].first[v]);
      assert_int_equal(qf_lesson_is_given(made.lesson, qf_score_get_note(score, v, 1)->id),
                       rows[r].second[v]);
    }
    qf_exercise_clear(&made);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_notes_are_those_of_the_reference_table),
    cmocka_unit_test(test_labels_are_what_was_asked),
    cmocka_unit_test(test_another_chain_does_not_hold),
    cmocka_unit_test(test_the_same_seed_gives_the_same_bytes),
    cmocka_unit_test(test_no_two_of_a_set_are_alike),
    cmocka_unit_test(test_a_set_that_runs_out_says_so),
    cmocka_unit_test(test_a_set_can_be_cancelled_between_tries),
    cmocka_unit_test(test_a_set_mixes_metres_and_rhythms),
    cmocka_unit_test(test_modulations_return),
    cmocka_unit_test(test_what_is_required_appears),
    cmocka_unit_test(test_chains_fall_by_fifths),
    cmocka_unit_test(test_only_chosen_degrees_are_tonicized),
    cmocka_unit_test(test_inversions_stay_as_allowed),
    cmocka_unit_test(test_notes_outside_the_chords_are_of_the_kind_asked),
    cmocka_unit_test(test_modulations_end_in_a_near_key),
    cmocka_unit_test(test_given_notes_follow_the_option),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
