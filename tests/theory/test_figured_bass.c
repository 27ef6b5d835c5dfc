// SPDX-License-Identifier: MIT
#include "quintfall/figured_bass.h"
#include "tsv.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static QfKey
key_of(const char* const text)
{
  QfKey key = {{0, 0}, QF_MAJOR};
  if (qf_key_parse(text, &key, NULL)) {
    fail_msg("%s is not a key", text);
  }
  return key;
}

static QfNoteName
name_of(const char* const text)
{
  QfNoteName name = {0, 0};
  if (qf_note_name_parse(text, &name, NULL, NULL)) {
    fail_msg("%s is not a note name", text);
  }
  return name;
}

static void
list_notes(const QfNoteName* const notes, const int n, char* const text, const size_t size)
{
  size_t length = 0;
  text[0]       = '\0';
  for (int i = 0; i < n; ++i) {
    char name[8];
    qf_note_name_write(notes[i], name, sizeof(name));
    length += (size_t)snprintf(text + length, size - length, "%s%s", i ? " " : "", name);
  }
}

static void
check_notes(const char* const key, const char* const bass, const char* figures, const char* wants)
{
  QfNoteName notes[QF_CHORD_MAX_NOTES];
  int        n     = 0;
  QfError    error = {0};
  char       text[64];
  if (qf_figured_bass_notes(name_of(bass), figures, key_of(key), notes, &n, &error)) {
    fail_msg("%s", error.text);
  }
  list_notes(notes, n, text, sizeof(text));
  if (strcmp(text, wants) != 0) {
    fail_msg("%s over %s in %s: %s, expected %s", figures, bass, key, text, wants);
  }
}

/// Replace spaces by what stands between figures
static void
join(const char* const words, const char between, char* const text, const size_t size)
{
  snprintf(text, size, "%s", strcmp(words, "(none)") ? words : "");
  for (char* c = strchr(text, ' '); c; c = strchr(c, ' ')) {
    *c = between;
  }
}

// Source: tests/data/references/figured_bass.tsv (OMT "Generating Roman numerals"), examples in C.
static void
test_positions_have_their_figures(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("figured_bass");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const bool        is_triad = !strcmp(tsv_cell(&tsv, i, "chord"), "triad");
    const char* const wants    = tsv_cell(&tsv, i, "example_C_or_G7_bass_first");
    const QfChord chord = {is_triad ? QF_CHORD_MAJOR : QF_CHORD_DOM7, name_of(is_triad ? "C" : "G"),
                           (int8_t)tsv_int(&tsv, i, "inversion"), 0};

    // "4 2 or 2" names two short forms; the first is the one written
    char brief[16];
    char text[16];
    snprintf(brief, sizeof(brief), "%s", tsv_cell(&tsv, i, "abbreviation"));
    if (strstr(brief, " or ")) {
      *strstr(brief, " or ") = '\0';
      check_notes("C major", "F", "2", wants);
    }
    join(brief, '\n', text, sizeof(text));
    char written[32];
    qf_figured_bass_write(chord, key_of("C major"), written, sizeof(written));
    assert_string_equal(written, text);

    char bass[8];
    snprintf(bass, sizeof(bass), "%.1s", wants);
    check_notes("C major", bass, text, wants);
    join(tsv_cell(&tsv, i, "full_figures"), '/', text, sizeof(text));
    check_notes("C major", bass, text, wants);
  }
  tsv_free(&tsv);
}

typedef struct {
  const char* row;     ///< The table's first column
  const char* figures; ///< As this program reads them
} SignCase;

// How the signs described in the table's first column are typed
static const SignCase sign_cases[] = {
  {"# alone", "#"}, {"natural alone", "n"},         {"b alone", "b"},
  {"#6", "#6"},     {"6 with slash (or 6+)", "6+"}, {"4 with slash, 2 (or 4+ 2)", "4+/2"},
};

// Source: tests/data/references/figured_bass_alterations.tsv; its rows on suspensions are
// successions of figures, not chords, and are left out.
static void
test_signs_alter_the_notes(void** state)
{
  (void)state;
  Tsv    tsv       = tsv_open("figured_bass_alterations");
  size_t n_checked = 0;
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    for (size_t s = 0; s < sizeof(sign_cases) / sizeof(sign_cases[0]); ++s) {
      if (strcmp(tsv_cell(&tsv, i, "figure"), sign_cases[s].row) != 0) {
        continue;
      }
      char wants[64];
      snprintf(wants, sizeof(wants), "%s", tsv_cell(&tsv, i, "example_result_bass_first"));
      char* const remark = strstr(wants, " (");
      if (remark) {
        *remark = '\0';
      }
      check_notes(tsv_cell(&tsv, i, "example_key"), tsv_cell(&tsv, i, "example_bass"),
                  sign_cases[s].figures, wants);
      ++n_checked;
    }
  }
  assert_int_equal(n_checked, sizeof(sign_cases) / sizeof(sign_cases[0]));
  tsv_free(&tsv);
}

typedef struct {
  const char* key;
  const char* symbol;
  const char* figures;
} WriteCase;

// Common practice: accidentals against the signature, before their figure
static const WriteCase write_cases[] = {
  {"C major", "D7", "7\n\u266F"},
  {"C major", "D7/F#", "6\n5"},
  {"C major", "D7/C", "\u266F4\n2"},
  {"A minor", "E", "\u266F"},
  {"C minor", "G", "\u266E"},
  {"C major", "Fm", "\u266D"},
  {"C minor", "G7", "7\n\u266E"},
  {"C minor", "Bdim7/D", "\u266E6\n5"},
  {"C major", "C7", "\u266D7"},
  {"C minor", "F#(Ger)/Ab", "\u266F6\n5"},
  {"C minor", "F#(It)/Ab", "\u266F6"},
  {"C minor", "D(Fr)/Ab", "\u266F6\n4\n3"},
  {"C major", "Gsus4", "5\n4"},
  {"C major", "G9", "9\n7"},
  {"G major", "D/F#", "6"},
  {"E major", "G#7", "7\n\u266F"},
};

static void
test_chords_are_figured_against_the_signature(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(write_cases) / sizeof(write_cases[0]); ++i) {
    QfChord chord = {0};
    char    text[32];
    assert_int_equal(qf_chord_parse_symbol(write_cases[i].symbol, &chord, NULL), QF_OK);
    qf_figured_bass_write(chord, key_of(write_cases[i].key), text, sizeof(text));
    if (strcmp(text, write_cases[i].figures) != 0) {
      fail_msg("%s in %s: \"%s\"", write_cases[i].symbol, write_cases[i].key, text);
    }
  }
}

static void
test_written_figures_ask_for_the_same_notes(void** state)
{
  static const QfChordKind kinds[] = {QF_CHORD_MAJOR,     QF_CHORD_MINOR,     QF_CHORD_DIMINISHED,
                                      QF_CHORD_AUGMENTED, QF_CHORD_DOM7,      QF_CHORD_MAJ7,
                                      QF_CHORD_MIN7,      QF_CHORD_HALF_DIM7, QF_CHORD_DIM7,
                                      QF_CHORD_SUS4,      QF_CHORD_DOM9};

  (void)state;
  for (int fifths = -7; fifths <= 7; ++fifths) {
    QfKey key = {{0, 0}, QF_MAJOR};
    assert_int_equal(qf_key_from_fifths(fifths, QF_MAJOR, &key), QF_OK);
    for (size_t k = 0; k < sizeof(kinds) / sizeof(kinds[0]); ++k) {
      for (int root = -3; root <= 8; ++root) {
        const bool is_rooted = kinds[k] == QF_CHORD_SUS4 || kinds[k] == QF_CHORD_DOM9;
        const int  n_basses  = is_rooted ? 1 : qf_chord_kind_size(kinds[k]);
        for (int inversion = 0; inversion < n_basses; ++inversion) {
          QfChord    chord = {kinds[k], {0, 0}, (int8_t)inversion, 0};
          QfNoteName bass  = {0, 0};
          QfNoteName notes[QF_CHORD_MAX_NOTES];
          int        n = 0;
          char       text[48];
          assert_int_equal(qf_note_name_from_fifths(fifths + root, &chord.root), QF_OK);
          if (qf_chord_bass(chord, &bass) || qf_chord_notes(chord, notes, &n)) {
            continue;
          }

          QfError error = {0};
          qf_figured_bass_write(chord, key, text, sizeof(text));
          if (qf_figured_bass_notes(bass, text, key, notes, &n, &error)) {
            fail_msg("%s", error.text);
          }
          assert_int_equal(n, qf_chord_kind_size(chord.kind));
          for (int i = 0; i < n; ++i) {
            assert_true(qf_chord_member_of(chord, notes[i]) >= 0);
          }
        }
      }
    }
  }
}

static void
test_bad_figures_are_refused(void** state)
{
  static const char* const bad[] = {"x",   "6/",     "/6", "1",           "0",  "6/6", "66",
                                    "6 4", "#####6", "+",  "7/6/5/4/3/2", "##", "6-5"};

  (void)state;
  int n_refused = 0;
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    QfNoteName notes[QF_CHORD_MAX_NOTES];
    int        n     = 0;
    QfError    error = {0};
    n_refused +=
      qf_figured_bass_notes(name_of("C"), bad[i], key_of("C"), notes, &n, &error) && error.text[0];
  }
  // "6/" ends in nothing and "##" is a double sharp for the third: both can be read
  assert_int_equal(n_refused, sizeof(bad) / sizeof(bad[0]) - 2);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_positions_have_their_figures),
    cmocka_unit_test(test_signs_alter_the_notes),
    cmocka_unit_test(test_chords_are_figured_against_the_signature),
    cmocka_unit_test(test_written_figures_ask_for_the_same_notes),
    cmocka_unit_test(test_bad_figures_are_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
