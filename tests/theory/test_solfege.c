// SPDX-License-Identifier: MIT
#include "quintfall/solfege.h"
#include "tsv.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

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
check_row(const Tsv* const tsv, const size_t row, const QfKey major, const QfKey minor)
{
  QfInterval up = {0, 0};
  QfNoteName in_major;
  QfNoteName in_minor;
  char       degree[8];
  assert_int_equal(qf_interval_parse(tsv_cell(tsv, row, "interval_above_tonic"), &up, NULL), QF_OK);
  assert_int_equal(qf_note_name_transpose(major.tonic, up, &in_major), QF_OK);
  assert_int_equal(qf_note_name_transpose(minor.tonic, up, &in_minor), QF_OK);

  const char* const syllable = tsv_cell(tsv, row, "do_based_syllable");
  assert_string_equal(qf_solfege(in_major, major, QF_SOLFEGE_DO_MINOR), syllable);
  assert_string_equal(qf_solfege(in_major, major, QF_SOLFEGE_LA_MINOR), syllable);
  assert_string_equal(qf_solfege(in_minor, minor, QF_SOLFEGE_DO_MINOR), syllable);

  const char* const on_la = tsv_cell(tsv, row, "la_based_syllable_when_minor_tonic_is_la");
  assert_string_equal(qf_solfege(in_minor, minor, QF_SOLFEGE_LA_MINOR),
                      strcmp(on_la, "-") ? on_la : "?");

  qf_scale_degree_write(in_major, major, false, degree, sizeof(degree));
  assert_string_equal(degree, tsv_cell(tsv, row, "degree_in_major"));
  const char* const wants = tsv_cell(tsv, row, "degree_in_minor_signature");
  if (strcmp(wants, "-") != 0) {
    qf_scale_degree_write(in_minor, minor, false, degree, sizeof(degree));
    assert_string_equal(degree, wants);
  }
}

// Source: tests/data/references/solfege.tsv (OMT "Chromatic solfège"; la-based from memory).
static void
test_syllables_and_degrees_in_every_key(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("solfege");
  for (int fifths = -7; fifths <= 7; ++fifths) {
    QfKey major;
    QfKey minor;
    assert_int_equal(qf_key_from_fifths(fifths, QF_MAJOR, &major), QF_OK);
    assert_int_equal(qf_key_from_fifths(fifths, QF_MINOR, &minor), QF_OK);
    for (size_t i = 0; i < tsv.n_rows; ++i) {
      check_row(&tsv, i, major, minor);
    }
  }
  tsv_free(&tsv);
}

// Source: tests/data/references/solfege_chromatic_scales.tsv.
static void
test_scales_are_sung(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("solfege_chromatic_scales");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const char* const   name  = tsv_cell(&tsv, i, "name");
    const bool          on_la = strstr(name, "(la-based)") != NULL;
    const QfSolfegeKind kind  = on_la ? QF_SOLFEGE_LA_MINOR : QF_SOLFEGE_DO_MINOR;
    const QfKey         key   = {name_of(on_la ? "A" : "C"), on_la ? QF_MINOR : QF_MAJOR};
    char                notes[80];
    char                sung[80];
    snprintf(notes, sizeof(notes), "%s", tsv_cell(&tsv, i, "example_in_C"));
    size_t length = 0;
    char*  rest   = notes;
    for (char* note = strsep(&rest, " "); note; note = strsep(&rest, " ")) {
      length += (size_t)snprintf(sung + length, sizeof(sung) - length, "%s%s", length ? " " : "",
                                 qf_solfege(name_of(note), key, kind));
    }
    if (strcmp(sung, tsv_cell(&tsv, i, "syllables")) != 0) {
      fail_msg("%s: %s", name, sung);
    }
  }
  tsv_free(&tsv);
}

static void
test_fixed_do_names_the_letter(void** state)
{
  // Common practice in the countries of fixed do
  static const char* const syllables[7] = {"do", "re", "mi", "fa", "sol", "la", "si"};

  (void)state;
  const QfKey key = {name_of("Eb"), QF_MAJOR};
  for (int8_t letter = 0; letter < 7; ++letter) {
    for (int8_t alter = -2; alter <= 2; ++alter) {
      const QfNoteName note = {letter, alter};
      assert_string_equal(qf_solfege(note, key, QF_SOLFEGE_FIXED), syllables[letter]);
    }
  }
}

typedef struct {
  const char* note;
  const char* english;
  const char* english_spoken;
  const char* german;
  const char* romance;
  const char* romance_spoken;
} NamingCase;

// German and Romance names from memory (common practice)
static const NamingCase naming_cases[] = {
  {"C", "C", "C", "C", "Do", "Do"},
  {"F#", "F\u266F", "F sharp", "Fis", "Fa\u266F", "Fa sharp"},
  {"Bb", "B\u266D", "B flat", "B", "Si\u266D", "Si flat"},
  {"B", "B", "B", "H", "Si", "Si"},
  {"B#", "B\u266F", "B sharp", "His", "Si\u266F", "Si sharp"},
  {"Bbb", "B\U0001D12B", "B double flat", "Heses", "Si\U0001D12B", "Si double flat"},
  {"Eb", "E\u266D", "E flat", "Es", "Mi\u266D", "Mi flat"},
  {"Ebb", "E\U0001D12B", "E double flat", "Eses", "Mi\U0001D12B", "Mi double flat"},
  {"Ab", "A\u266D", "A flat", "As", "La\u266D", "La flat"},
  {"Abb", "A\U0001D12B", "A double flat", "Asas", "La\U0001D12B", "La double flat"},
  {"Db", "D\u266D", "D flat", "Des", "Re\u266D", "Re flat"},
  {"Gbb", "G\U0001D12B", "G double flat", "Geses", "Sol\U0001D12B", "Sol double flat"},
  {"C##", "C\U0001D12A", "C double sharp", "Cisis", "Do\U0001D12A", "Do double sharp"},
  {"E#", "E\u266F", "E sharp", "Eis", "Mi\u266F", "Mi sharp"},
  {"A#", "A\u266F", "A sharp", "Ais", "La\u266F", "La sharp"},
};

static void
test_notes_are_named_by_convention(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(naming_cases) / sizeof(naming_cases[0]); ++i) {
    const NamingCase* const c    = &naming_cases[i];
    const QfNoteName        note = name_of(c->note);
    char                    text[40];
    qf_note_name_spell_out(note, QF_NAMING_ENGLISH, text, sizeof(text));
    assert_string_equal(text, c->english);
    qf_note_name_speak(note, QF_NAMING_ENGLISH, text, sizeof(text));
    assert_string_equal(text, c->english_spoken);
    qf_note_name_spell_out(note, QF_NAMING_GERMAN, text, sizeof(text));
    assert_string_equal(text, c->german);
    qf_note_name_spell_out(note, QF_NAMING_ROMANCE, text, sizeof(text));
    assert_string_equal(text, c->romance);
    qf_note_name_speak(note, QF_NAMING_ROMANCE, text, sizeof(text));
    assert_string_equal(text, c->romance_spoken);
  }
}

static void
test_names_are_unique_and_fit(void** state)
{
  (void)state;
  for (int kind = QF_NAMING_ENGLISH; kind <= QF_NAMING_ROMANCE; ++kind) {
    char seen[63][24];
    int  n = 0;
    for (int fifths = -29; fifths <= 33; ++fifths) {
      QfNoteName name = {0, 0};
      assert_int_equal(qf_note_name_from_fifths(fifths, &name), QF_OK);
      qf_note_name_spell_out(name, (QfNamingKind)kind, seen[n], sizeof(seen[n]));
      for (int i = 0; i < n; ++i) {
        assert_string_not_equal(seen[i], seen[n]);
      }
      ++n;
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_syllables_and_degrees_in_every_key),
    cmocka_unit_test(test_scales_are_sung),
    cmocka_unit_test(test_fixed_do_names_the_letter),
    cmocka_unit_test(test_notes_are_named_by_convention),
    cmocka_unit_test(test_names_are_unique_and_fit),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
