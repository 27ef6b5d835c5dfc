// SPDX-License-Identifier: MIT
#include "tsv.h"

#include "quintfall/drill.h"
#include "quintfall/practice.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { SEEDS = 20, VOICES = 4, MOST_NOTES = 8 };

static QfDrill
make(const QfDrillKind kind, const int level, const uint64_t seed)
{
  QfDrill drill = {0};
  QfError error = {0};
  if (qf_drill_make(kind, level, seed, QF_NAMING_ENGLISH, &drill, &error)) {
    fail_msg("%s, level %d, seed %d: %s", qf_drill_kind_id(kind), level, (int)seed, error.text);
  }
  return drill;
}

/// What sounds at a time, highest first
static void
sounding_at(const QfDrill* const drill, const QfTime time, QfNoteName names[VOICES])
{
  for (size_t v = 0; v < VOICES; ++v) {
    const QfNote* const note = qf_score_note_at(drill->score, v, time);
    assert_non_null(note);
    names[v] = qf_pitch_name(note->pitch);
  }
}

/// Notes of a table's cell, "C E G" or "C3 E3 G3"
static size_t
read_notes(const char* text, QfNoteName notes[MOST_NOTES])
{
  size_t n = 0;
  while (*text && n < MOST_NOTES) {
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

/// Every note that sounds is one of the cell's, and at most `n_missing` of those do not sound
static bool
cell_fits(const char* const cell, const QfNoteName sounding[VOICES], const size_t n_missing)
{
  QfNoteName   notes[MOST_NOTES];
  const size_t n       = read_notes(cell, notes);
  size_t       missing = 0;
  for (size_t v = 0; v < VOICES; ++v) {
    if (!contains(notes, n, sounding[v])) {
      return false;
    }
  }
  for (size_t i = 0; i < n; ++i) {
    missing += !contains(sounding, VOICES, notes[i]);
  }
  return missing <= n_missing;
}

/// Row of chords_by_root.tsv for a quality that sounds complete, or SIZE_MAX
static size_t
find_chord(const Tsv* const table, const char* const quality, const QfNoteName sounding[VOICES])
{
  for (size_t row = 0; row < table->n_rows; ++row) {
    if (!strcmp(tsv_cell(table, row, "quality"), quality) &&
        cell_fits(tsv_cell(table, row, "notes"), sounding, 0)) {
      return row;
    }
  }
  return SIZE_MAX;
}

// The table's names of what the program calls otherwise
static const char*
table_quality(const char* const name)
{
  return !strcmp(name, "major triad")        ? "major"
         : !strcmp(name, "minor triad")      ? "minor"
         : !strcmp(name, "diminished triad") ? "diminished"
         : !strcmp(name, "augmented triad")  ? "augmented"
                                             : name;
}

// Source: chords_by_root.tsv
static void
test_the_right_quality_is_the_one_that_sounds(void** state)
{
  (void)state;
  Tsv table = tsv_open("chords_by_root");
  for (int level = 1; level <= QF_DRILL_N_LEVELS; ++level) {
    for (uint64_t seed = 1; seed <= SEEDS; ++seed) {
      QfDrill    drill = make(QF_DRILL_QUALITY, level, seed);
      QfNoteName sounding[VOICES];
      sounding_at(&drill, drill.asked_from, sounding);
      for (size_t i = 0; i < drill.n_choices; ++i) {
        const bool fits = find_chord(&table, table_quality(drill.choices[i]), sounding) != SIZE_MAX;
        if (fits != (i == drill.right)) {
          fail_msg("level %d, seed %d: \"%s\"", level, (int)seed, drill.choices[i]);
        }
      }
      qf_drill_clear(&drill);
    }
  }
  tsv_free(&table);
}

static void
test_the_right_inversion_is_the_note_in_the_bass(void** state)
{
  (void)state;
  const char* const names[]     = {"root position", "first inversion", "second inversion",
                                   "third inversion"};
  Tsv               table       = tsv_open("chords_by_root");
  const char* const qualities[] = {"major",         "minor",         "dominant seventh",
                                   "major seventh", "minor seventh", "half-diminished seventh"};
  for (int level = 1; level <= QF_DRILL_N_LEVELS; ++level) {
    for (uint64_t seed = 1; seed <= SEEDS; ++seed) {
      QfDrill    drill = make(QF_DRILL_INVERSION, level, seed);
      QfNoteName sounding[VOICES];
      size_t     row = SIZE_MAX;
      sounding_at(&drill, drill.asked_from, sounding);
      for (size_t q = 0; q < 6 && row == SIZE_MAX; ++q) {
        row = find_chord(&table, qualities[q], sounding);
      }
      assert_true(row != SIZE_MAX);
      QfNoteName   notes[MOST_NOTES];
      const size_t n    = read_notes(tsv_cell(&table, row, "notes"), notes);
      size_t       bass = 0;
      while (bass < n && !qf_note_name_equals(notes[bass], sounding[VOICES - 1])) {
        ++bass;
      }
      assert_string_equal(drill.choices[drill.right], names[bass]);
      qf_drill_clear(&drill);
    }
  }
  tsv_free(&table);
}

/// Whether a numeral of roman_numerals.tsv is what sounds: bass, notes, at most a fifth missing
static bool
numeral_sounds(const Tsv* const  table,
               const QfKey       key,
               const char* const numeral,
               const QfNoteName  sounding[VOICES])
{
  char tonic[16];
  qf_note_name_write(key.tonic, tonic, sizeof(tonic));
  for (size_t row = 0; row < table->n_rows; ++row) {
    const char* const notes = tsv_cell(table, row, "notes_bass_to_top_close");
    QfNoteName        list[MOST_NOTES];
    if (!strcmp(tsv_cell(table, row, "rntxt_ascii"), numeral) &&
        !strcmp(tsv_cell(table, row, "key"), tonic) &&
        !strcmp(tsv_cell(table, row, "mode"), key.mode == QF_MAJOR ? "major" : "minor")) {
      return read_notes(notes, list) && qf_note_name_equals(list[0], sounding[VOICES - 1]) &&
             cell_fits(notes, sounding, 1);
    }
  }
  fail_msg("%s is not in the table", numeral);
  return false;
}

// Source: roman_numerals.tsv
static void
test_the_right_function_is_the_one_that_sounds(void** state)
{
  (void)state;
  Tsv table = tsv_open("roman_numerals");
  for (int level = 1; level <= QF_DRILL_N_LEVELS; ++level) {
    for (uint64_t seed = 1; seed <= SEEDS; ++seed) {
      QfDrill    drill = make(QF_DRILL_FUNCTION, level, seed);
      QfNoteName sounding[VOICES];
      sounding_at(&drill, drill.asked_from, sounding);
      for (size_t i = 0; i < drill.n_choices; ++i) {
        const bool sounds = numeral_sounds(&table, drill.key, drill.choices[i], sounding);
        // V7 without its fifth also has only notes of V; the other way round there is no doubt.
        if (i == drill.right && !sounds) {
          fail_msg("level %d, seed %d: %s does not sound", level, (int)seed, drill.choices[i]);
        }
      }
      qf_drill_clear(&drill);
    }
  }
  tsv_free(&table);
}

static void
test_the_right_target_is_the_one_pointed_at(void** state)
{
  (void)state;
  const char* const heads[] = {"V7", "V65", "V43", "V42", "viio7"};
  Tsv               table   = tsv_open("roman_numerals");
  for (int level = 1; level <= QF_DRILL_N_LEVELS; ++level) {
    for (uint64_t seed = 1; seed <= SEEDS; ++seed) {
      QfDrill    drill = make(QF_DRILL_TARGET, level, seed);
      QfNoteName sounding[VOICES];
      sounding_at(&drill, drill.asked_from, sounding);
      for (size_t i = 0; i < drill.n_choices; ++i) {
        bool sounds = false;
        for (size_t h = 0; h < 5; ++h) {
          char numeral[32];
          snprintf(numeral, sizeof(numeral), "%s/%.20s", heads[h], drill.choices[i]);
          sounds = sounds || numeral_sounds(&table, drill.key, numeral, sounding);
        }
        if (sounds != (i == drill.right)) {
          fail_msg("level %d, seed %d: %s", level, (int)seed, drill.choices[i]);
        }
      }
      qf_drill_clear(&drill);
    }
  }
  tsv_free(&table);
}

/// All chords are in root position, so the basses are the roots: one step is no falling fifth
static void
test_the_circle_breaks_once_where_it_is_said(void** state)
{
  (void)state;
  for (int level = 1; level <= QF_DRILL_N_LEVELS; ++level) {
    for (uint64_t seed = 1; seed <= SEEDS; ++seed) {
      QfDrill      drill = make(QF_DRILL_CIRCLE, level, seed);
      const size_t n     = qf_score_n_notes(drill.score, VOICES - 1);
      assert_int_equal(drill.n_choices, n - 1U);
      for (size_t i = 1; i < n; ++i) {
        const QfPitch    from   = qf_score_get_note(drill.score, VOICES - 1, i - 1U)->pitch;
        const QfPitch    to     = qf_score_get_note(drill.score, VOICES - 1, i)->pitch;
        const QfInterval motion = qf_interval_between_names(qf_pitch_name(from), qf_pitch_name(to));
        const bool       falls  = motion.steps == 3 && motion.semitones == 5;
        if (falls == (i == drill.right + 1U)) {
          fail_msg("level %d, seed %d: chord %zu", level, (int)seed, i + 1U);
        }
      }
      qf_drill_clear(&drill);
    }
  }
}

// Rule: MT21C "Voice Leading Seventh Chords": leading tones rise a semitone, sevenths fall a step.
static void
test_tendency_tones_go_where_books_say(void** state)
{
  (void)state;
  for (int level = 1; level <= QF_DRILL_N_LEVELS; ++level) {
    for (uint64_t seed = 1; seed <= SEEDS; ++seed) {
      QfDrill          drill  = make(QF_DRILL_RESOLUTION, level, seed);
      const QfInterval motion = qf_interval_between(drill.start, drill.pitch);
      const bool       falls  = strstr(drill.concepts[1], "seventh") != NULL;
      QfNoteName       sounding[VOICES];
      assert_int_equal(drill.form, QF_DRILL_ANSWER_PITCH);
      assert_int_equal(motion.steps, falls ? -1 : 1);
      if (falls) {
        assert_in_range(-motion.semitones, 1, 2);
      } else {
        assert_int_equal(motion.semitones, 1);
      }
      sounding_at(&drill, drill.asked_from, sounding);
      assert_true(contains(sounding, VOICES, qf_pitch_name(drill.start)));
      qf_drill_clear(&drill);
    }
  }
}

static void
test_notes_are_accepted_in_any_octave(void** state)
{
  (void)state;
  QfDrill drill = make(QF_DRILL_RESOLUTION, 3, 7);
  QfPitch pitch = drill.pitch;
  assert_true(qf_drill_accepts_pitch(&drill, pitch));
  assert_true(qf_drill_accepts_key(&drill, qf_pitch_midi(pitch)));
  pitch.octave = (int8_t)(pitch.octave - 2);
  assert_true(qf_drill_accepts_pitch(&drill, pitch));
  assert_true(qf_drill_accepts_key(&drill, qf_pitch_midi(pitch)));
  assert_false(qf_drill_accepts_key(&drill, qf_pitch_midi(pitch) + 1));
  pitch.letter = (int8_t)((pitch.letter + 1) % 7);
  assert_false(qf_drill_accepts_pitch(&drill, pitch));
  qf_drill_clear(&drill);

  drill = make(QF_DRILL_QUALITY, 1, 1);
  assert_false(qf_drill_accepts_key(&drill, 60));
  qf_drill_clear(&drill);
}

static void
test_every_drill_is_whole(void** state)
{
  (void)state;
  for (int kind = 0; kind < QF_DRILL_N_KINDS; ++kind) {
    for (int level = 1; level <= QF_DRILL_N_LEVELS; ++level) {
      for (uint64_t seed = 100; seed < 100 + SEEDS; ++seed) {
        QfDrill a = make((QfDrillKind)kind, level, seed);
        QfDrill b = make((QfDrillKind)kind, level, seed);
        assert_true(*a.question && *a.explanation);
        assert_true(strlen(a.explanation) + 1U < sizeof(a.explanation));
        assert_true(qf_score_equals(a.score, b.score));
        assert_string_equal(a.question, b.question);
        assert_string_equal(a.explanation, b.explanation);
        assert_true(qf_time_compare(a.asked_from, a.asked_to) < 0);
        assert_true(a.n_concepts >= 1);
        for (size_t i = 0; i < a.n_concepts; ++i) {
          assert_true(qf_concept_is_valid(a.concepts[i]));
        }
        if (a.form == QF_DRILL_ANSWER_CHOICE) {
          assert_true(a.n_choices >= 2 && a.right < a.n_choices && a.right == b.right);
          for (size_t i = 0; i < a.n_choices; ++i) {
            for (size_t j = 0; j < i; ++j) {
              assert_string_not_equal(a.choices[i], a.choices[j]);
            }
          }
        }
        qf_drill_clear(&a);
        qf_drill_clear(&b);
      }
    }
  }
}

static void
test_seeds_bring_different_answers(void** state)
{
  (void)state;
  for (int kind = 0; kind < QF_DRILL_N_KINDS; ++kind) {
    char   seen[SEEDS][640];
    size_t n_different = 0;
    for (uint64_t seed = 0; seed < SEEDS; ++seed) {
      QfDrill drill  = make((QfDrillKind)kind, 4, seed);
      bool    is_new = true;
      strcpy(seen[seed], drill.explanation);
      for (uint64_t other = 0; other < seed; ++other) {
        is_new = is_new && strcmp(seen[seed], seen[other]) != 0;
      }
      n_different += is_new;
      qf_drill_clear(&drill);
    }
    assert_true(n_different > SEEDS / 2);
  }
}

static void
test_drills_are_made_on_what_is_due(void** state)
{
  (void)state;
  const char* const concepts[] = {"target/ii",
                                  "target/VII",
                                  "quality/dim7",
                                  "inversion/3",
                                  "function/N6",
                                  "function/IV",
                                  "drill/circle",
                                  "resolution/seventh",
                                  "target/V",
                                  "quality/major",
                                  "resolution/augmented-sixth"};
  for (size_t i = 0; i < sizeof(concepts) / sizeof(concepts[0]); ++i) {
    QfDrill drill = {0};
    QfError error = {0};
    bool    found = false;
    if (qf_drill_make_on(concepts[i], 1, 3, QF_NAMING_ENGLISH, &drill, &error)) {
      fail_msg("%s", error.text);
    }
    for (size_t c = 0; c < drill.n_concepts; ++c) {
      found = found || !strcmp(drill.concepts[c], concepts[i]);
    }
    assert_true(found);
    qf_drill_clear(&drill);
  }

  const char* const others[] = {"layer/bass", "target", "drill/whistle", "", "function/XX"};
  for (size_t i = 0; i < sizeof(others) / sizeof(others[0]); ++i) {
    QfDrill drill = {0};
    assert_int_equal(qf_drill_make_on(others[i], 5, 3, QF_NAMING_ENGLISH, &drill, NULL),
                     QF_ERR_IMPOSSIBLE);
  }
}

static void
test_kinds_are_read_back(void** state)
{
  (void)state;
  QfDrillKind read  = QF_DRILL_N_KINDS;
  QfError     error = {0};
  for (int kind = 0; kind < QF_DRILL_N_KINDS; ++kind) {
    assert_int_equal(qf_drill_kind_parse(qf_drill_kind_id((QfDrillKind)kind), &read, NULL), QF_OK);
    assert_int_equal(read, kind);
  }
  assert_int_equal(qf_drill_kind_parse("whistle", &read, &error), QF_ERR_BAD_TEXT);
  assert_non_null(strstr(error.text, "whistle"));
  QfDrill drill = {0};
  assert_int_equal(qf_drill_make(QF_DRILL_N_KINDS, 1, 1, QF_NAMING_ENGLISH, &drill, &error),
                   QF_ERR_RANGE);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_the_right_quality_is_the_one_that_sounds),
    cmocka_unit_test(test_the_right_inversion_is_the_note_in_the_bass),
    cmocka_unit_test(test_the_right_function_is_the_one_that_sounds),
    cmocka_unit_test(test_the_right_target_is_the_one_pointed_at),
    cmocka_unit_test(test_the_circle_breaks_once_where_it_is_said),
    cmocka_unit_test(test_tendency_tones_go_where_books_say),
    cmocka_unit_test(test_notes_are_accepted_in_any_octave),
    cmocka_unit_test(test_every_drill_is_whole),
    cmocka_unit_test(test_seeds_bring_different_answers),
    cmocka_unit_test(test_drills_are_made_on_what_is_due),
    cmocka_unit_test(test_kinds_are_read_back),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
