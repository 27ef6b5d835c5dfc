// SPDX-License-Identifier: MIT
#include "quintfall/numeral.h"
#include "tsv.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <cmocka.h>

enum {
  MAX_CANDIDATES = 16,
  MAX_NOTES      = QF_CHORD_MAX_NOTES + QF_NUMERAL_MAX_CHANGES,
};

static QfKey
key_of(const char* const tonic, const char* const mode)
{
  char    text[32];
  QfKey   key   = {{0, 0}, QF_MAJOR};
  QfError error = {0};
  snprintf(text, sizeof(text), "%s %s", tonic, mode);
  if (qf_key_parse(text, &key, &error)) {
    fail_msg("%s", error.text);
  }
  return key;
}

static QfNumeral
numeral_of(const char* const text, const QfMode mode)
{
  QfNumeral numeral = {0};
  QfError   error   = {0};
  if (qf_numeral_parse(text, mode, &numeral, &error)) {
    fail_msg("%s", error.text);
  }
  return numeral;
}

/// Read "C3 E3" or "C E" into note names
static int
names_of(const char* const text, QfNoteName names[MAX_NOTES])
{
  char list[64];
  snprintf(list, sizeof(list), "%s", text);
  char* rest = list;
  int   n    = 0;
  for (char* word = strsep(&rest, " "); word && n < MAX_NOTES; word = strsep(&rest, " ")) {
    const char* end = NULL;
    assert_int_equal(qf_note_name_parse(word, &names[n++], &end, NULL), QF_OK);
  }
  return n;
}

static bool
has_name(const QfNoteName* const names, const int n, const QfNoteName name)
{
  for (int i = 0; i < n; ++i) {
    if (qf_note_name_equals(names[i], name)) {
      return true;
    }
  }
  return false;
}

/// True if the numeral has exactly these notes, the first in the bass
static bool
has_notes(const QfNumeral* const numeral, const QfKey key, const char* const text)
{
  QfNoteName wants[MAX_NOTES];
  QfNoteName notes[MAX_NOTES];
  QfNoteName bass    = {0, 0};
  QfChord    chord   = {0};
  const int  n_wants = names_of(text, wants);
  int        n       = 0;
  if (qf_numeral_chord(numeral, key, &chord, NULL) || qf_chord_bass(chord, &bass) ||
      qf_numeral_notes(numeral, key, notes, &n) || n != n_wants) {
    return false;
  }
  for (int i = 0; i < n; ++i) {
    if (!has_name(notes, n, wants[i])) {
      return false;
    }
  }
  return qf_note_name_equals(bass, wants[0]);
}

static QfChordKind
kind_of(const char* const quality)
{
  if (!strncmp(quality, "german augmented sixth respelled", 32)) {
    return QF_CHORD_SWISS;
  }
  for (int k = 0; k < QF_CHORD_N_KINDS; ++k) {
    char triad[64];
    snprintf(triad, sizeof(triad), "%s triad", quality);
    const char* const name = qf_chord_kind_name((QfChordKind)k);
    if (!strcasecmp(name, quality) || !strcasecmp(name, triad)) {
      return (QfChordKind)k;
    }
  }
  fail_msg("no chord quality is called \"%s\"", quality);
  return QF_CHORD_N_KINDS;
}

static void
check_row(const Tsv* const tsv, const size_t row)
{
  const QfKey       key     = key_of(tsv_cell(tsv, row, "key"), tsv_cell(tsv, row, "mode"));
  const char* const text    = tsv_cell(tsv, row, "rntxt_ascii");
  const QfNumeral   numeral = numeral_of(text, key.mode);
  QfChord           chord   = {0};
  QfError           error   = {0};
  if (qf_numeral_chord(&numeral, key, &chord, &error)) {
    fail_msg("%s", error.text);
  }

  char root[8];
  char name[24];
  qf_note_name_write(chord.root, root, sizeof(root));
  qf_key_write(key, name, sizeof(name));

  // The respelled German sixth has no stack of thirds: the table counts its inversion by the
  // figures 4/3, this program by the member in the bass, which the notes below check.
  const bool is_stacked = chord.kind != QF_CHORD_SWISS;
  if (strcmp(root, tsv_cell(tsv, row, "root")) != 0 ||
      chord.kind != kind_of(tsv_cell(tsv, row, "quality")) ||
      (is_stacked && chord.inversion != tsv_int(tsv, row, "inversion")) ||
      !has_notes(&numeral, key, tsv_cell(tsv, row, "notes_bass_to_top_close"))) {
    fail_msg("%s in %s: root %s, %s", text, name, root, qf_chord_kind_name(chord.kind));
  }
}

// Source: tests/data/references/roman_numerals.tsv, 5250 chords in 30 keys.
static void
test_numerals_stand_for_their_chords(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("roman_numerals");
  assert_int_equal(tsv.n_rows, 5250);
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    check_row(&tsv, i);
  }
  tsv_free(&tsv);
}

// Source: tests/data/references/roman_numerals_handcheck.tsv, copied by hand from textbooks.
static void
test_textbook_examples(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("roman_numerals_handcheck");
  assert_int_equal(tsv.n_rows, 38);
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const QfKey       key     = key_of(tsv_cell(&tsv, i, "key"), tsv_cell(&tsv, i, "mode"));
    const char* const text    = tsv_cell(&tsv, i, "rntxt_ascii");
    const QfNumeral   numeral = numeral_of(text, key.mode);
    if (!has_notes(&numeral, key, tsv_cell(&tsv, i, "notes_bass_to_top"))) {
      fail_msg("%s: expected %s", text, tsv_cell(&tsv, i, "notes_bass_to_top"));
    }
  }
  tsv_free(&tsv);
}

static void
check_pitch_classes(const Tsv* const tsv, const size_t row)
{
  const bool      is_minor = !strcmp(tsv_cell(tsv, row, "mode"), "minor");
  const QfKey     key      = {{0, 0}, is_minor ? QF_MINOR : QF_MAJOR};
  const QfNumeral numeral  = numeral_of(tsv_cell(tsv, row, "numeral"), key.mode);
  QfNoteName      notes[MAX_NOTES];
  QfNoteName      bass  = {0, 0};
  QfChord         chord = {0};
  int             n     = 0;
  assert_int_equal(qf_numeral_chord(&numeral, key, &chord, NULL), QF_OK);
  assert_int_equal(qf_chord_bass(chord, &bass), QF_OK);
  assert_int_equal(qf_numeral_notes(&numeral, key, notes, &n), QF_OK);

  unsigned found = 0;
  unsigned wants = 0;
  for (int i = 0; i < n; ++i) {
    found |= 1U << qf_note_name_semitones(notes[i]);
  }
  const char* cell = tsv_cell(tsv, row, "pitch_classes_in_C");
  for (char* end = NULL; *cell; cell = end) {
    wants |= 1U << strtol(cell, &end, 10);
  }
  if (found != wants || qf_note_name_semitones(chord.root) != tsv_int(tsv, row, "root_pc") ||
      qf_note_name_semitones(bass) != tsv_int(tsv, row, "bass_pc") ||
      chord.inversion != tsv_int(tsv, row, "inversion")) {
    fail_msg("%s in %s: pitch classes %#x, expected %#x", tsv_cell(tsv, row, "numeral"),
             tsv_cell(tsv, row, "mode"), found, wants);
  }
}

// Source: tests/data/references/romantext_corpus.tsv, every numeral that analysts wrote in the
// corpus (When in Rome, CC BY-SA 4.0), read by an independent program.
static void
test_numerals_of_the_corpus(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("romantext_corpus");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    check_pitch_classes(&tsv, i);
  }
  tsv_free(&tsv);
}

// Source: tests/data/references/diatonic_chords.tsv; its display form is read too.
static void
test_diatonic_numerals(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("diatonic_chords");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const QfKey key = key_of(tsv_cell(&tsv, i, "tonic"), tsv_cell(&tsv, i, "mode"));
    char        text[32];
    size_t      length = 0;
    // i(maj7) is imaj7 in RomanText
    for (const char* c = tsv_cell(&tsv, i, "numeral"); *c && length + 1 < sizeof(text); ++c) {
      if (*c != '(' && *c != ')') {
        text[length++] = *c;
      }
    }
    text[length]            = '\0';
    const QfNumeral numeral = numeral_of(text, key.mode);
    if (!has_notes(&numeral, key, tsv_cell(&tsv, i, "notes_root_position"))) {
      fail_msg("%s: expected %s", text, tsv_cell(&tsv, i, "notes_root_position"));
    }
  }
  tsv_free(&tsv);
}

static void
test_numerals_are_written_as_read(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("roman_numerals");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const char* const text = tsv_cell(&tsv, i, "rntxt_ascii");
    for (int mode = QF_MAJOR; mode <= QF_MINOR; ++mode) {
      const QfNumeral first = numeral_of(text, (QfMode)mode);
      char            written[QF_NUMERAL_TEXT_SIZE];
      qf_numeral_write(&first, (QfMode)mode, written, sizeof(written));
      const QfNumeral second = numeral_of(written, (QfMode)mode);
      if (!qf_numeral_equals(&first, &second)) {
        fail_msg("%s was written as %s", text, written);
      }
      // In the table's own mode the text is already the shortest
      const bool is_own = (mode == QF_MINOR) == !strcmp(tsv_cell(&tsv, i, "mode"), "minor");
      if (is_own) {
        assert_string_equal(written, text);
      }
    }
  }
  tsv_free(&tsv);
}

static int
place_of(const QfNumeral* const numeral, const QfNumeral* const list, const size_t n)
{
  for (size_t i = 0; i < n; ++i) {
    if (qf_numeral_equals(&list[i], numeral)) {
      return (int)i;
    }
  }
  return -1;
}

// Source: roman_numerals.tsv; labels for equal notes after references.md section 2 (IBMT 15a,
// MT21C): the diatonic one before the applied one.
static void
test_each_chord_lists_its_numerals(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("roman_numerals");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const char* const class   = tsv_cell(&tsv, i, "class");
    const QfKey       key     = key_of(tsv_cell(&tsv, i, "key"), tsv_cell(&tsv, i, "mode"));
    const char* const text    = tsv_cell(&tsv, i, "rntxt_ascii");
    const QfNumeral   numeral = numeral_of(text, key.mode);
    QfNumeral         list[MAX_CANDIDATES];
    QfChord           chord = {0};
    assert_int_equal(qf_numeral_chord(&numeral, key, &chord, NULL), QF_OK);
    const size_t n     = qf_numeral_candidates(chord, key, list, MAX_CANDIDATES);
    const int    place = place_of(&numeral, list, n);
    if (!strcmp(class, "cadential six-four")) {
      assert_int_equal(place, -1); // context decides
      continue;
    }

    if (!n) {
      fail_msg("%s in %s: no reading", text, tsv_cell(&tsv, i, "key"));
    }
    char        first[QF_NUMERAL_TEXT_SIZE];
    const char* same     = "same notes as diatonic ";
    const char* usage    = tsv_cell(&tsv, i, "usage");
    const bool  is_twin  = !strncmp(usage, same, strlen(same));
    const bool  is_plain = !strcmp(class, "diatonic");
    qf_numeral_write(&list[0], key.mode, first, sizeof(first));
    if (place < 0 || (is_plain && place != 0) || (is_twin && list[0].n_targets)) {
      fail_msg("%s in %s %s: place %d, first is %s", text, tsv_cell(&tsv, i, "key"),
               tsv_cell(&tsv, i, "mode"), place, first);
    }
  }
  tsv_free(&tsv);
}

typedef struct {
  const char* key;
  const char* mode;
  const char* symbol;
  const char* first;
} UsualCase;

// Common practice, and references.md section 2
static const UsualCase usual_cases[] = {
  {"C", "major", "D", "V/V"},
  {"C", "major", "C7", "V7/IV"},
  {"C", "major", "C", "I"},
  {"C", "major", "E", "V/vi"},
  {"C", "major", "Bb", "bVII"},
  {"C", "major", "Ab", "bVI"},
  {"C", "major", "Db/F", "N6"},
  {"C", "major", "Bdim7", "viio7"},
  {"C", "major", "C#dim7", "viio7/ii"},
  {"C", "major", "F#m7b5", "vii/o7/V"},
  {"C", "major", "F#dim/A", "viio6/V"},
  {"C", "major", "G9", "V9"},
  {"C", "major", "D9", "V9/V"},
  {"C", "major", "G7(no5)", "V7"},
  {"C", "major", "G7sus4", "V7[no3][add4]"},
  {"C", "major", "Gsus4", "V[no3][add4]"},
  {"C", "major", "F#7", "V7/V/iii"},
  {"C", "major", "F#(Ger)/Ab", "Ger65"},
  {"C", "major", "C#(Ger)/Eb", "Ger65/V"},
  {"C", "major", "Gaug", "V+"},
  {"A", "minor", "E", "V"},
  {"A", "minor", "G#dim7", "viio7"},
  {"A", "minor", "G", "VII"},
  {"A", "minor", "A7", "V7/iv"},
  {"A", "minor", "A", "I"},
  {"A", "minor", "A/C#", "V6/iv"},
  {"A", "minor", "Bb/D", "N6"},
  {"A", "minor", "B7", "V7/V"},
  {"A", "minor", "D7", "V7/VII"},
  {"A", "minor", "D", "IV"},
  {"A", "minor", "F(no5)", "VI"},
};

static void
test_the_usual_reading_comes_first(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(usual_cases) / sizeof(usual_cases[0]); ++i) {
    const UsualCase* const c     = &usual_cases[i];
    const QfKey            key   = key_of(c->key, c->mode);
    QfChord                chord = {0};
    QfNumeral              list[MAX_CANDIDATES];
    char                   text[QF_NUMERAL_TEXT_SIZE] = "nothing";
    assert_int_equal(qf_chord_parse_symbol(c->symbol, &chord, NULL), QF_OK);
    if (qf_numeral_candidates(chord, key, list, MAX_CANDIDATES)) {
      qf_numeral_write(&list[0], key.mode, text, sizeof(text));
    }
    if (strcmp(text, c->first) != 0) {
      fail_msg("%s in %s %s: %s, expected %s", c->symbol, c->key, c->mode, text, c->first);
    }
  }
}

static void
test_every_candidate_has_the_chord(void** state)
{
  (void)state;
  for (int fifths = -7; fifths <= 7; ++fifths) {
    for (int mode = QF_MAJOR; mode <= QF_MINOR; ++mode) {
      for (int root = -8; root <= 10; ++root) {
        for (int k = 0; k < QF_CHORD_N_KINDS; ++k) {
          QfKey     key   = {{0, 0}, QF_MAJOR};
          QfChord   chord = {(QfChordKind)k, {0, 0}, 0, 0};
          QfNumeral list[MAX_CANDIDATES];
          assert_int_equal(qf_key_from_fifths(fifths, (QfMode)mode, &key), QF_OK);
          assert_int_equal(qf_note_name_from_fifths(fifths + root, &chord.root), QF_OK);
          QfNoteName   notes[QF_CHORD_MAX_NOTES];
          int          n_notes = 0;
          const size_t n       = qf_numeral_candidates(chord, key, list, MAX_CANDIDATES);
          if (qf_chord_notes(chord, notes, &n_notes)) {
            continue;
          }
          for (size_t i = 0; i < n; ++i) {
            QfNoteName own[MAX_NOTES];
            int        n_own = 0;
            char       text[QF_NUMERAL_TEXT_SIZE];
            qf_numeral_write(&list[i], key.mode, text, sizeof(text));
            const QfNumeral again = numeral_of(text, key.mode);
            assert_int_equal(qf_numeral_notes(&list[i], key, own, &n_own), QF_OK);
            bool is_same = n_own == n_notes && qf_numeral_equals(&again, &list[i]);
            for (int m = 0; m < n_notes; ++m) {
              is_same = is_same && has_name(own, n_own, notes[m]);
            }
            if (!is_same) {
              char symbol[40];
              qf_chord_write_symbol(chord, false, symbol, sizeof(symbol));
              fail_msg("%s is offered for %s", text, symbol);
            }
          }
        }
      }
    }
  }
}

static void
test_transposing_the_key_transposes_the_chord(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("roman_numerals");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const bool is_minor = !strcmp(tsv_cell(&tsv, i, "mode"), "minor");
    if (strcmp(tsv_cell(&tsv, i, "key"), "C") != 0) {
      continue;
    }
    const QfMode    mode    = is_minor ? QF_MINOR : QF_MAJOR;
    const QfNumeral numeral = numeral_of(tsv_cell(&tsv, i, "rntxt_ascii"), mode);
    const QfKey     home    = {{0, 0}, mode};
    QfChord         at_home = {0};
    assert_int_equal(qf_numeral_chord(&numeral, home, &at_home, NULL), QF_OK);
    for (int fifths = -7; fifths <= 7; ++fifths) {
      QfKey   key   = {{0, 0}, mode};
      QfChord chord = {0};
      assert_int_equal(qf_key_from_fifths(fifths, mode, &key), QF_OK);
      assert_int_equal(qf_numeral_chord(&numeral, key, &chord, NULL), QF_OK);
      assert_int_equal(qf_note_name_fifths(chord.root) - qf_note_name_fifths(key.tonic),
                       qf_note_name_fifths(at_home.root));
      assert_int_equal(chord.kind, at_home.kind);
      assert_int_equal(chord.inversion, at_home.inversion);
    }
  }
  tsv_free(&tsv);
}

typedef struct {
  const char* text;
  const char* mode;
  const char* notes;   ///< In C, bass first
  const char* written; ///< NULL: as read
} SyntaxCase;

// Source: "The RomanText Format" (ISMIR 2019) and the syntax notes of When in Rome: cautionary
// signs in minor, diatonic sevenths, spellings of one figure, brackets, nested targets.
static const SyntaxCase syntax_cases[] = {
  {"ii6/5", "major", "F A C D", "ii65"},
  {"V2", "major", "F G B D", "V42"},
  {"V4/2", "major", "F G B D", "V42"},
  {"V4/3", "major", "D F G B", "V43"},
  {"I53", "major", "C E G", "I"},
  {"V6/5/V", "major", "F# A C D", "V65/V"},
  {"V65/V/V", "major", "C# E G A", NULL},
  {"V7/V/vi", "major", "B D# F# A", NULL},
  {"vii\u00F87", "major", "B D F A", "vii/o7"},
  {"vii%7", "major", "B D F A", "vii/o7"},
  {"vii\u00B07", "major", "B D F Ab", "viio7"},
  {"ii\u00F8", "minor", "D F Ab C", "ii/o7"},
  {"ii/o6/5", "minor", "F Ab C D", "ii/o65"},
  {"viio", "minor", "B D F", NULL},
  {"#viio", "minor", "B D F", "viio"},
  {"VII", "minor", "Bb D F", NULL},
  {"bVII", "minor", "Bb D F", "VII"},
  {"\u266DVI", "minor", "Ab C Eb", "VI"},
  {"vio", "minor", "A C Eb", NULL},
  {"vi/o7", "minor", "A C Eb G", NULL},
  {"III+", "minor", "Eb G B", NULL},
  {"bVI", "major", "Ab C Eb", NULL},
  {"\u266DVI", "major", "Ab C Eb", "bVI"},
  {"bII6", "major", "F Ab Db", NULL},
  {"IVmaj7", "major", "F A C E", "IV7"},
  {"IVM7", "major", "F A C E", "IV7"},
  {"IVd7", "major", "F A C Eb", NULL},
  {"I7", "major", "C E G B", NULL},
  {"i7", "minor", "C Eb G Bb", NULL},
  {"VI7", "minor", "Ab C Eb G", NULL},
  {"bVII7", "major", "Bb D F Ab", NULL},
  {"V7", "minor", "G B D F", NULL},
  {"V9", "major", "G B D F A", NULL},
  {"V9", "minor", "G B D F Ab", NULL},
  {"V9[b9]", "major", "G B D F Ab", NULL},
  {"V[no3][add4]", "major", "G C D", NULL},
  {"I[add9]", "major", "C E G D", NULL},
  {"V7[no3][add4]/V", "major", "D G A C", NULL},
  {"V7[no5]", "major", "G B F", NULL},
  {"V/VII", "minor", "F A C", NULL},
  {"V7/I", "major", "G B D F", "V7"},
  {"V7/i", "minor", "G B D F", "V7"},
  {"Cad64/V", "major", "D G B", NULL},
  {"Cad", "minor", "G C Eb", "Cad64"},
  {"Ger6", "major", "Ab C Eb F#", "Ger65"},
  {"Ger", "minor", "Ab C Eb F#", "Ger65"},
  {"Fr6", "major", "Ab C D F#", "Fr43"},
  {"It", "minor", "Ab C F#", "It6"},
  {"V42/N", "major", "Gb Ab C Eb", NULL},
  {"V7/bVI", "major", "Eb G Bb Db", NULL},
  {"viio7/bVII", "major", "A C Eb Gb", NULL},
  {"ii/o7/ii", "major", "E G Bb D", NULL},
  {"-VII", "major", "Bb D F", "bVII"},
};

static void
test_romantext_is_read(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(syntax_cases) / sizeof(syntax_cases[0]); ++i) {
    const SyntaxCase* const c       = &syntax_cases[i];
    const QfKey             key     = key_of("C", c->mode);
    const QfNumeral         numeral = numeral_of(c->text, key.mode);
    char                    text[QF_NUMERAL_TEXT_SIZE];
    qf_numeral_write(&numeral, key.mode, text, sizeof(text));
    if (!has_notes(&numeral, key, c->notes)) {
      fail_msg("%s in C %s: expected %s", c->text, c->mode, c->notes);
    }
    assert_string_equal(text, c->written ? c->written : c->text);
  }
}

typedef struct {
  const char* text;
  size_t      offset;
} FaultCase;

static const FaultCase fault_cases[] = {
  {"", 0},      {"H", 0},        {"X7", 0},      {"V7/Q", 3},   {"V7/", 3},
  {"V77", 0},   {"VIII", 3},     {"V[add4", 1},  {"V[foo]", 1}, {"V/Cad64", 2},
  {"Cad65", 0}, {"bN6", 0},      {"V7/It6", 3},  {"####I", 0},  {"I/I/I/I/I/I", 10},
  {"V7 ", 2},   {"V[add44]", 1}, {"V7/viio", 6}, {"Ger64x", 5}, {"V/V7", 3},
};

static void
test_faults_are_placed(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(fault_cases) / sizeof(fault_cases[0]); ++i) {
    QfNumeral      numeral = {0};
    QfError        error   = {0};
    const QfStatus st      = qf_numeral_parse(fault_cases[i].text, QF_MAJOR, &numeral, &error);
    if (st != QF_ERR_BAD_TEXT || error.offset != fault_cases[i].offset ||
        !strstr(error.text, "expected")) {
      fail_msg("\"%s\": offset %zu, %s", fault_cases[i].text, error.offset, error.text);
    }
  }
}

static void
test_target_keys(void** state)
{
  static const struct {
    const char* text;
    const char* mode;
    const char* key;
  } rows[] = {{"V7/V", "major", "G major"},    {"V7/ii", "major", "D minor"},
              {"V7", "major", "C major"},      {"viio7/iv", "minor", "F minor"},
              {"V7/V/ii", "major", "A major"}, {"V/N", "minor", "Db major"},
              {"V/VII", "minor", "Bb major"},  {"V7/V/V", "major", "D major"}};

  (void)state;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) { // common practice
    const QfKey     home    = key_of("C", rows[i].mode);
    const QfNumeral numeral = numeral_of(rows[i].text, home.mode);
    QfKey           target  = home;
    char            text[24];
    assert_int_equal(qf_numeral_target_key(&numeral, home, &target), QF_OK);
    qf_key_write(target, text, sizeof(text));
    assert_string_equal(text, rows[i].key);
  }
}

typedef struct {
  const char* text;
  QfMode      mode;
  QfFunction  function;
  bool        is_applied_dominant;
  const char* spoken;
} MeaningCase;

// Source: Open Music Theory, "Harmonic functions"; the words are our own
static const MeaningCase meaning_cases[] = {
  {"I", QF_MAJOR, QF_FUNCTION_TONIC, false, "one"},
  {"vi", QF_MAJOR, QF_FUNCTION_TONIC, false, "six"},
  {"ii65", QF_MAJOR, QF_FUNCTION_PREDOMINANT, false, "two seven, first inversion"},
  {"V7", QF_MAJOR, QF_FUNCTION_DOMINANT, false, "five seven"},
  {"viio6", QF_MAJOR, QF_FUNCTION_DOMINANT, false, "seven diminished, first inversion"},
  {"Cad64", QF_MAJOR, QF_FUNCTION_DOMINANT, false, "cadential six-four"},
  {"N6", QF_MINOR, QF_FUNCTION_PREDOMINANT, false, "Neapolitan, first inversion"},
  {"Ger65", QF_MINOR, QF_FUNCTION_PREDOMINANT, false, "German sixth"},
  {"V65/ii", QF_MAJOR, QF_FUNCTION_APPLIED, true, "five seven of two, first inversion"},
  {"viio7/V", QF_MAJOR, QF_FUNCTION_APPLIED, true, "seven diminished seven of five"},
  {"vii/o7/V", QF_MAJOR, QF_FUNCTION_APPLIED, true, "seven half-diminished seven of five"},
  {"IV/V", QF_MAJOR, QF_FUNCTION_APPLIED, false, "four of five"},
  {"Cad64/V", QF_MAJOR, QF_FUNCTION_APPLIED, false, "cadential six-four of five"},
  {"V/i", QF_MAJOR, QF_FUNCTION_DOMINANT, false, "five of one"},
  {"bVI", QF_MAJOR, QF_FUNCTION_TONIC, false, "flat six"},
  {"iv", QF_MAJOR, QF_FUNCTION_PREDOMINANT, false, "minor four"},
  {"v", QF_MINOR, QF_FUNCTION_DOMINANT, false, "minor five"},
  {"V7/V/ii", QF_MAJOR, QF_FUNCTION_APPLIED, true, "five seven of five of two"},
};

static void
test_function_and_speech(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(meaning_cases) / sizeof(meaning_cases[0]); ++i) {
    const MeaningCase* const c       = &meaning_cases[i];
    const QfNumeral          numeral = numeral_of(c->text, c->mode);
    char                     spoken[160];
    qf_numeral_speak(&numeral, c->mode, spoken, sizeof(spoken));
    assert_string_equal(spoken, c->spoken);
    assert_int_equal(qf_numeral_function(&numeral), c->function);
    assert_int_equal(qf_numeral_is_applied_dominant(&numeral), c->is_applied_dominant);
  }
}

typedef struct {
  const char* text;
  QfMode      mode;
  const char* head;
  const char* figures;
  const char* tail;
} PartsCase;

static const PartsCase parts_cases[] = {
  {"vii/o65/V", QF_MAJOR, "vii\u00F8", "6\n5", "/V"},
  {"viio7", QF_MINOR, "vii\u00B0", "7", ""},
  {"bVI", QF_MAJOR, "\u266DVI", "", ""},
  {"I64", QF_MAJOR, "I", "6\n4", ""},
  {"Ger65", QF_MINOR, "Ger", "6\n5", ""},
  {"V42/bVII", QF_MAJOR, "V", "4\n2", "/\u266DVII"},
  {"III+", QF_MINOR, "III+", "", ""},
  {"Cad64", QF_MAJOR, "Cad", "6\n4", ""},
};

static void
test_parts_for_print(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(parts_cases) / sizeof(parts_cases[0]); ++i) { // common practice
    const QfNumeral numeral = numeral_of(parts_cases[i].text, parts_cases[i].mode);
    QfNumeralParts  parts;
    qf_numeral_parts(&numeral, parts_cases[i].mode, &parts);
    assert_string_equal(parts.head, parts_cases[i].head);
    assert_string_equal(parts.figures, parts_cases[i].figures);
    assert_string_equal(parts.tail, parts_cases[i].tail);
  }
}

static void
test_what_cannot_be_spelled_is_refused(void** state)
{
  (void)state;
  const QfKey     key     = key_of("C#", "major");
  const QfNumeral numeral = numeral_of("V7/V/V/#III/#VII", QF_MAJOR);
  QfChord         chord   = {0};
  QfError         error   = {0};
  assert_int_equal(qf_numeral_chord(&numeral, key, &chord, &error), QF_ERR_RANGE);
  assert_non_null(strstr(error.text, "more than 4 sharps or flats"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_numerals_stand_for_their_chords),
    cmocka_unit_test(test_textbook_examples),
    cmocka_unit_test(test_numerals_of_the_corpus),
    cmocka_unit_test(test_diatonic_numerals),
    cmocka_unit_test(test_numerals_are_written_as_read),
    cmocka_unit_test(test_each_chord_lists_its_numerals),
    cmocka_unit_test(test_the_usual_reading_comes_first),
    cmocka_unit_test(test_every_candidate_has_the_chord),
    cmocka_unit_test(test_transposing_the_key_transposes_the_chord),
    cmocka_unit_test(test_romantext_is_read),
    cmocka_unit_test(test_faults_are_placed),
    cmocka_unit_test(test_target_keys),
    cmocka_unit_test(test_function_and_speech),
    cmocka_unit_test(test_parts_for_print),
    cmocka_unit_test(test_what_cannot_be_spelled_is_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
