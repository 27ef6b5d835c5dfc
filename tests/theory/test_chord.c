// SPDX-License-Identifier: MIT
#include "quintfall/chord.h"
#include "quintfall/key.h"
#include "tsv.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum {
  MAX_FOUND = 16,
};

static QfNoteName
name_of(const char* const text)
{
  QfNoteName name = {0, 0};
  if (qf_note_name_parse(text, &name, NULL, NULL)) {
    fail_msg("%s is not a note name", text);
  }
  return name;
}

static size_t
names_of(const char* const text, QfNoteName names[8])
{
  char list[64];
  snprintf(list, sizeof(list), "%s", text);
  char*  rest = list;
  size_t n    = 0;
  for (char* word = strsep(&rest, " "); word && n < 8; word = strsep(&rest, " ")) {
    names[n++] = name_of(word);
  }
  return n;
}

/// The tables say "minor" where the program says "minor triad"
static QfChordKind
kind_of(const char* const quality)
{
  for (int k = 0; k < QF_CHORD_N_KINDS; ++k) {
    char triad[64];
    snprintf(triad, sizeof(triad), "%s triad", quality);
    const char* const name = qf_chord_kind_name((QfChordKind)k);
    if (!strcmp(name, quality) || !strcmp(name, triad)) {
      return (QfChordKind)k;
    }
  }
  fail_msg("no chord quality is called \"%s\"", quality);
  return QF_CHORD_N_KINDS;
}

static void
list_notes(const QfChord chord, char* const text, const size_t size)
{
  QfNoteName notes[QF_CHORD_MAX_NOTES];
  int        n = 0;
  text[0]      = '\0';
  if (qf_chord_notes(chord, notes, &n)) {
    return;
  }
  size_t length = 0;
  for (int i = 0; i < n; ++i) {
    char name[8];
    qf_note_name_write(notes[i], name, sizeof(name));
    length += (size_t)snprintf(text + length, size - length, "%s%s", i ? " " : "", name);
  }
}

// Source: tests/data/references/chords_by_root.tsv, 21 qualities on 35 roots.
static void
test_chords_are_spelled_on_every_root(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("chords_by_root");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const char* const root  = tsv_cell(&tsv, i, "root");
    const QfChord     chord = {kind_of(tsv_cell(&tsv, i, "quality")), name_of(root), 0, 0};
    char              notes[64];
    list_notes(chord, notes, sizeof(notes));
    const bool is_spellable = tsv_int(&tsv, i, "max_accidentals") <= QF_MAX_ALTER;
    if (strcmp(notes, is_spellable ? tsv_cell(&tsv, i, "notes") : "") != 0) {
      fail_msg("%s %s: %s", root, tsv_cell(&tsv, i, "quality"), notes);
    }

    char symbol[32];
    char wants[32];
    qf_chord_write_symbol(chord, false, symbol, sizeof(symbol));
    snprintf(wants, sizeof(wants), "%s%s", root, tsv_cell(&tsv, i, "symbol_suffix"));
    assert_string_equal(symbol, wants);
  }
  tsv_free(&tsv);
}

// Source: tests/data/references/chord_detection_spelled.tsv, bass first.
static void
test_spelled_chords_are_found(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("chord_detection_spelled");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    QfNoteName   notes[8];
    const size_t n        = names_of(tsv_cell(&tsv, i, "notes_bass_first"), notes);
    QfChord      found    = {0};
    char         text[32] = "nothing";
    if (qf_chord_detect(notes, n, &found, 1) == 1) {
      qf_chord_write_symbol(found, false, text, sizeof(text));
    }
    if (strcmp(text, tsv_cell(&tsv, i, "symbol_slash")) != 0 ||
        found.kind != kind_of(tsv_cell(&tsv, i, "quality")) ||
        found.inversion != tsv_int(&tsv, i, "inversion") || found.omitted) {
      fail_msg("%s: found %s", tsv_cell(&tsv, i, "notes_bass_first"), text);
    }
  }
  tsv_free(&tsv);
}

/// Check that a chord is the first reading of its own spelling, on each root with a pitch class
static int
check_on_pitch_class(const int pitch_class, const char* const quality)
{
  static const struct {
    const char* text;
    QfChordKind kind;
  } qualities[] = {
    {"maj", QF_CHORD_MAJOR},      {"m", QF_CHORD_MINOR},        {"dim", QF_CHORD_DIMINISHED},
    {"aug", QF_CHORD_AUGMENTED},  {"7", QF_CHORD_DOM7},         {"maj7", QF_CHORD_MAJ7},
    {"m7", QF_CHORD_MIN7},        {"m7b5", QF_CHORD_HALF_DIM7}, {"dim7", QF_CHORD_DIM7},
    {"mMaj7", QF_CHORD_MIN_MAJ7}, {"maj7#5", QF_CHORD_AUG_MAJ7}};

  for (size_t q = 0; q < sizeof(qualities) / sizeof(qualities[0]); ++q) {
    if (strcmp(qualities[q].text, quality) != 0) {
      continue;
    }
    int n_checked = 0;
    for (int fifths = -8; fifths <= 8; ++fifths) {
      QfChord    chord = {qualities[q].kind, {0, 0}, 0, 0};
      QfNoteName notes[QF_CHORD_MAX_NOTES];
      int        n     = 0;
      QfChord    found = {0};
      if (qf_note_name_from_fifths(fifths, &chord.root) ||
          qf_note_name_semitones(chord.root) != pitch_class || qf_chord_notes(chord, notes, &n)) {
        continue;
      }
      assert_true(qf_chord_detect(notes, (size_t)n, &found, 1) == 1);
      assert_int_equal(found.kind, chord.kind);
      assert_true(qf_note_name_equals(found.root, chord.root));
      ++n_checked;
    }
    return n_checked;
  }
  return 0;
}

// Source: tests/data/references/chord_detection_pcset.tsv. A set with several names (augmented
// triads, diminished sevenths) is told apart by its spelling.
static void
test_spelling_decides_between_equal_sounds(void** state)
{
  (void)state;
  Tsv tsv         = tsv_open("chord_detection_pcset");
  int n_ambiguous = 0;
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    char list[80];
    snprintf(list, sizeof(list), "%s", tsv_cell(&tsv, i, "root_pc:quality"));
    n_ambiguous += !strcmp(tsv_cell(&tsv, i, "status"), "ambiguous");
    char* rest = list;
    for (char* word = strsep(&rest, " "); word; word = strsep(&rest, " ")) {
      char*     quality     = NULL;
      const int pitch_class = (int)strtol(word, &quality, 10);
      if (!check_on_pitch_class(pitch_class, quality + 1)) {
        fail_msg("%s was not checked", word);
      }
    }
  }
  assert_int_equal(n_ambiguous, 7);
  tsv_free(&tsv);
}

// Source: tests/data/references/diatonic_chords.tsv.
static void
test_diatonic_chords_grow_from_scales(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("diatonic_chords");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const char* const scale = tsv_cell(&tsv, i, "scale");
    const QfScaleKind kind  = !strcmp(scale, "major")           ? QF_SCALE_MAJOR
                              : !strcmp(scale, "natural minor") ? QF_SCALE_NATURAL_MINOR
                                                                : QF_SCALE_HARMONIC_MINOR;
    QfNoteName        degrees[7];
    assert_int_equal(qf_scale_notes(name_of(tsv_cell(&tsv, i, "tonic")), kind, degrees), QF_OK);

    const int    degree = tsv_int(&tsv, i, "degree");
    const size_t n      = !strcmp(tsv_cell(&tsv, i, "kind"), "triad") ? 3 : 4;
    QfNoteName   notes[4];
    for (size_t m = 0; m < n; ++m) {
      notes[m] = degrees[(degree - 1 + 2 * (int)m) % 7];
    }

    QfChord found = {0};
    char    text[64];
    assert_true(qf_chord_detect(notes, n, &found, 1) == 1);
    list_notes(found, text, sizeof(text));
    assert_string_equal(text, tsv_cell(&tsv, i, "notes_root_position"));
    assert_int_equal(found.kind, kind_of(tsv_cell(&tsv, i, "quality")));
    qf_chord_write_symbol(found, false, text, sizeof(text));
    assert_string_equal(text, tsv_cell(&tsv, i, "symbol"));
  }
  tsv_free(&tsv);
}

typedef struct {
  const char* notes; ///< Bass first
  const char* first; ///< Best reading, or NULL for none
} DetectCase;

// Common practice; augmented sixths after Open Music Theory, "Altered subdominants", in C.
static const DetectCase detect_cases[] = {
  {"C E C G E", "C"},        {"E C C G", "C/E"},          {"G B F", "G7(no5)"},
  {"F G B", "G7(no5)/F"},    {"C E", "C(no5)"},           {"C Eb", "Cm(no5)"},
  {"D F C", "Dm7(no5)"},     {"G D F", "G7(no3)"},        {"B F Ab", "Bdim7(no3)"},
  {"B D Ab", "Bdim7(no5)"},  {"Ab C F#", "F#(It)/Ab"},    {"Ab C Eb F#", "F#(Ger)/Ab"},
  {"Ab C D F#", "D(Fr)/Ab"}, {"Ab C D# F#", "F#(Sw)/Ab"}, {"Ab C Eb Gb", "Ab7"},
  {"G B D F A", "G9"},       {"G B D F Ab", "G7b9"},      {"G B F A", "G9(no5)"},
  {"G C D", "Gsus4"},        {"C D G", "Csus2"},          {"G C D F", "G7sus4"},
  {"C E G A", "Am7/C"},      {"B D F A", "Bm7b5"},        {"C E G#", "Caug"},
  {"Ab C E", "Abaug"},       {"G# B D F", "G#dim7"},      {"Ab B D F", "Bdim7/Ab"},
  {"C C# D", NULL},          {"C D E F G A", NULL},
};

static void
test_incomplete_and_altered_chords_are_found(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(detect_cases) / sizeof(detect_cases[0]); ++i) {
    const DetectCase* const c = &detect_cases[i];
    QfNoteName              notes[8];
    const size_t            n = names_of(c->notes, notes);
    QfChord                 found[MAX_FOUND];
    char                    text[40] = "";
    if (qf_chord_detect(notes, n, found, MAX_FOUND)) {
      qf_chord_write_symbol(found[0], false, text, sizeof(text));
    }
    if (strcmp(text, c->first ? c->first : "") != 0) {
      fail_msg("%s: \"%s\", expected \"%s\"", c->notes, text, c->first ? c->first : "");
    }
  }
}

/// All of a chord's notes, bass first
static int
bass_first(const QfChord chord, QfNoteName notes[QF_CHORD_MAX_NOTES])
{
  int n = 0;
  if (qf_chord_notes(chord, notes, &n)) {
    return 0;
  }
  const QfNoteName bass  = notes[chord.inversion];
  notes[chord.inversion] = notes[0];
  notes[0]               = bass;
  return n;
}

static void
test_every_chord_is_among_the_readings_of_its_notes(void** state)
{
  (void)state;
  for (int fifths = -15; fifths <= 19; ++fifths) {
    for (int k = 0; k < QF_CHORD_N_KINDS; ++k) {
      for (int inversion = 0; inversion < qf_chord_kind_size((QfChordKind)k); ++inversion) {
        QfChord chord = {(QfChordKind)k, {0, 0}, (int8_t)inversion, 0};
        assert_int_equal(qf_note_name_from_fifths(fifths, &chord.root), QF_OK);
        QfNoteName notes[QF_CHORD_MAX_NOTES];
        QfChord    found[MAX_FOUND];
        const int  n = bass_first(chord, notes);
        if (!n) {
          continue;
        }

        const size_t n_found = qf_chord_detect(notes, (size_t)n, found, MAX_FOUND);
        bool         has_it  = false;
        for (size_t i = 0; i < n_found; ++i) {
          has_it = has_it || (found[i].kind == chord.kind && found[i].inversion == inversion &&
                              qf_note_name_equals(found[i].root, chord.root));
        }
        if (!has_it) {
          char text[40];
          qf_chord_write_symbol(chord, false, text, sizeof(text));
          fail_msg("%s is not found", text);
        }
      }
    }
  }
}

static void
test_symbols_are_read_as_written(void** state)
{
  (void)state;
  for (int fifths = -29; fifths <= 33; ++fifths) {
    for (int k = 0; k < QF_CHORD_N_KINDS; ++k) {
      for (int inversion = 0; inversion < qf_chord_kind_size((QfChordKind)k); ++inversion) {
        QfChord    chord = {(QfChordKind)k, {0, 0}, (int8_t)inversion, 0};
        QfNoteName bass  = {0, 0};
        assert_int_equal(qf_note_name_from_fifths(fifths, &chord.root), QF_OK);
        for (int unicode = 0; unicode < 2 && !qf_chord_bass(chord, &bass); ++unicode) {
          char    text[64];
          QfChord again = {0};
          QfError error = {0};
          qf_chord_write_symbol(chord, unicode, text, sizeof(text));
          if (qf_chord_parse_symbol(text, &again, &error) || again.kind != chord.kind ||
              again.inversion != inversion || !qf_note_name_equals(again.root, chord.root)) {
            fail_msg("%s: %s", text, error.text);
          }
        }
      }
    }
  }
}

static void
test_bad_symbols_are_refused(void** state)
{
  static const char* const bad[] = {"",       "H7",       "Cmin", "C7/F",   "C/",   "C7/",
                                    "C7(no3", "C(no3)/E", "7",    "C#####", "Cfoo", "C//E"};

  (void)state;
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    QfChord chord = {0};
    QfError error = {0};
    if (!qf_chord_parse_symbol(bad[i], &chord, &error) || !error.text[0]) {
      fail_msg("\"%s\" was accepted", bad[i]);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_chords_are_spelled_on_every_root),
    cmocka_unit_test(test_spelled_chords_are_found),
    cmocka_unit_test(test_spelling_decides_between_equal_sounds),
    cmocka_unit_test(test_diatonic_chords_grow_from_scales),
    cmocka_unit_test(test_incomplete_and_altered_chords_are_found),
    cmocka_unit_test(test_every_chord_is_among_the_readings_of_its_notes),
    cmocka_unit_test(test_symbols_are_read_as_written),
    cmocka_unit_test(test_bad_symbols_are_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
