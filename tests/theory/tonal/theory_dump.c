// SPDX-License-Identifier: MIT
// Print what this program knows, one fact a line, for compare.mjs to check.
#include "quintfall/numeral.h"

#include <stdio.h>
#include <string.h>

enum {
  FIRST_FIFTH = -15, ///< F double flat
  LAST_FIFTH  = 19,  ///< B double sharp
};

static void
write_name(const QfNoteName name)
{
  char text[8];
  qf_note_name_write(name, text, sizeof(text));
  printf("%s", text);
}

static void
dump_pitches(void)
{
  for (int step = -7; step < 70; ++step) {
    for (int alter = -2; alter <= 2; ++alter) {
      const QfPitch pitch = qf_pitch_from_step(step, alter);
      char          text[12];
      qf_pitch_write(pitch, text, sizeof(text));
      const int midi = qf_pitch_midi(pitch);
      printf("pitch\t%s\t%d\t%.6f\n", text, midi, qf_midi_frequency(midi));
    }
  }
}

static void
dump_intervals(void)
{
  for (int low = FIRST_FIFTH; low <= LAST_FIFTH; ++low) {
    for (int high = FIRST_FIFTH; high <= LAST_FIFTH; ++high) {
      QfNoteName from = {0, 0};
      QfNoteName to   = {0, 0};
      if (qf_note_name_from_fifths(low, &from) || qf_note_name_from_fifths(high, &to)) {
        continue;
      }

      // Beyond these a name is no longer agreed upon
      const QfInterval it = qf_interval_between_names(from, to);
      char             text[16];
      qf_interval_write(it, text, sizeof(text));
      if (it.semitones >= 0 && it.semitones <= 11 && strlen(text) <= 5 && text[0] != '-') {
        printf("interval\t");
        write_name(from);
        printf("4\t");
        write_name(to);
        printf("%d\t%s\t%d\n", to.letter < from.letter ? 5 : 4, text, it.semitones);
      }
    }
  }
}

static void
dump_scales(void)
{
  for (int fifths = -7; fifths <= 10; ++fifths) {
    for (int kind = 0; kind < QF_SCALE_N_KINDS; ++kind) {
      QfNoteName tonic = {0, 0};
      QfNoteName notes[7];
      if (qf_note_name_from_fifths(fifths, &tonic) ||
          qf_scale_notes(tonic, (QfScaleKind)kind, notes)) {
        continue;
      }
      printf("scale\t");
      write_name(tonic);
      printf("\t%s\t", qf_scale_name((QfScaleKind)kind));
      for (int i = 0; i < 7; ++i) {
        printf("%s", i ? " " : "");
        write_name(notes[i]);
      }
      printf("\n");
    }
  }
}

static void
dump_chord(const char* const label, const QfChord chord)
{
  QfNoteName notes[QF_CHORD_MAX_NOTES];
  int        n = 0;
  char       symbol[32];
  if (qf_chord_notes(chord, notes, &n)) {
    return;
  }

  qf_chord_write_symbol(chord, false, symbol, sizeof(symbol));
  printf("%s\t%s\t", label, symbol);
  for (int i = 0; i < n; ++i) {
    printf("%s", i ? " " : "");
    write_name(notes[i]);
  }
  printf("\n");
}

static void
dump_chords(void)
{
  for (int fifths = FIRST_FIFTH; fifths <= LAST_FIFTH; ++fifths) {
    for (int kind = 0; kind < QF_CHORD_ITALIAN; ++kind) {
      QfChord chord = {(QfChordKind)kind, {0, 0}, 0, 0};
      if (!qf_note_name_from_fifths(fifths, &chord.root)) {
        dump_chord("chord", chord);
      }
    }
  }
}

/// Names of chords found in notes given bass first
static void
dump_readings(void)
{
  static const QfChordKind kinds[] = {QF_CHORD_MAJOR, QF_CHORD_MINOR,     QF_CHORD_DIMINISHED,
                                      QF_CHORD_DOM7,  QF_CHORD_MAJ7,      QF_CHORD_MIN7,
                                      QF_CHORD_DIM7,  QF_CHORD_HALF_DIM7, QF_CHORD_AUGMENTED};

  for (int fifths = -7; fifths <= 10; ++fifths) {
    for (size_t k = 0; k < sizeof(kinds) / sizeof(kinds[0]); ++k) {
      for (int inversion = 0; inversion < qf_chord_kind_size(kinds[k]); ++inversion) {
        QfChord    chord = {kinds[k], {0, 0}, (int8_t)inversion, 0};
        QfChord    found = {0};
        QfNoteName notes[QF_CHORD_MAX_NOTES];
        int        n = 0;
        char       symbol[32];
        if (qf_note_name_from_fifths(fifths, &chord.root) || qf_chord_notes(chord, notes, &n)) {
          continue;
        }
        const QfNoteName bass = notes[inversion];
        notes[inversion]      = notes[0];
        notes[0]              = bass;
        if (!qf_chord_detect(notes, (size_t)n, &found, 1)) {
          continue;
        }
        qf_chord_write_symbol(found, false, symbol, sizeof(symbol));
        printf("reading\t%s\t", symbol);
        for (int i = 0; i < n; ++i) {
          printf("%s", i ? " " : "");
          write_name(notes[i]);
        }
        printf("\n");
      }
    }
  }
}

static void
dump_numeral(const char* const label, const QfKey key, const char* const text)
{
  QfNumeral numeral = {0};
  QfChord   chord   = {0};
  char      name[24];
  if (qf_numeral_parse(text, key.mode, &numeral, NULL) ||
      qf_numeral_chord(&numeral, key, &chord, NULL)) {
    printf("%s\tunreadable\t%s\n", label, text);
    return;
  }

  char line[64];
  qf_key_write(key, name, sizeof(name));
  snprintf(line, sizeof(line), "%s\t%s\t%s", label, name, text);
  dump_chord(line, chord);
}

static void
dump_keys(void)
{
  static const char* const in_major[] = {"I7", "ii7", "iii7", "IV7", "V7", "vi7", "vii/o7",
                                         "I",  "ii",  "iii",  "IV",  "V",  "vi",  "viio"};
  static const char* const in_minor[] = {"i7", "ii/o7", "III7", "iv7", "v7", "VI7", "VII7",
                                         "i",  "iio",   "III",  "iv",  "v",  "VI",  "VII"};
  static const char* const applied[]  = {"V7/ii", "V7/iii", "V7/IV", "V7/V", "V7/vi"};

  for (int mode = QF_MAJOR; mode <= QF_MINOR; ++mode) {
    for (int fifths = -7; fifths <= 7; ++fifths) {
      QfKey key = {{0, 0}, QF_MAJOR};
      char  text[24];
      if (qf_key_from_fifths(fifths, (QfMode)mode, &key)) {
        continue;
      }
      qf_key_write(key, text, sizeof(text));
      printf("signature\t%s\t%d\n", text, qf_key_fifths(key));
      for (size_t i = 0; i < 14; ++i) {
        dump_numeral("diatonic", key, mode == QF_MAJOR ? in_major[i] : in_minor[i]);
      }
      for (size_t i = 0; i < 5 && mode == QF_MAJOR; ++i) {
        dump_numeral("applied", key, applied[i]);
      }
    }
  }
}

int
main(void)
{
  dump_pitches();
  dump_intervals();
  dump_scales();
  dump_chords();
  dump_readings();
  dump_keys();
  return 0;
}
