// SPDX-License-Identifier: MIT
#include "quintfall/pitch.h"
#include "tsv.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static QfPitch
pitch(const char* const text)
{
  QfPitch result = {0, 0, 0};
  QfError error  = {0};
  if (qf_pitch_parse(text, &result, &error)) {
    fail_msg("%s: %s", text, error.text);
  }
  return result;
}

// Source: tests/data/references/spelled_pitch_midi.tsv, 35 spellings in all octaves of MIDI.
static void
test_spelled_pitches_have_their_midi_numbers(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("spelled_pitch_midi");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const char* const text = tsv_cell(&tsv, i, "pitch");
    const QfPitch     p    = pitch(text);
    char              written[12];
    qf_pitch_write(p, written, sizeof(written));
    if (qf_pitch_midi(p) != tsv_int(&tsv, i, "midi") ||
        qf_note_name_semitones(qf_pitch_name(p)) != tsv_int(&tsv, i, "pitch_class") ||
        p.octave != tsv_int(&tsv, i, "octave") || p.alter != tsv_int(&tsv, i, "alter") ||
        strcmp(written, text) != 0) {
      fail_msg("%s: read as %s, MIDI %d", text, written, qf_pitch_midi(p));
    }
  }
  tsv_free(&tsv);
}

// Source: tests/data/references/midi_frequency.tsv, A4 = 440 Hz (ISO 16).
static void
test_midi_numbers_have_their_frequencies(void** state)
{
  (void)state;
  Tsv tsv = tsv_open("midi_frequency");
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    const int   midi  = tsv_int(&tsv, i, "midi");
    const float wants = strtof(tsv_cell(&tsv, i, "freq_hz_a440"), NULL);
    const float found = (float)qf_midi_frequency(midi);
    if (fabsf(found - wants) > wants * 1e-6F) {
      fail_msg("MIDI %d: %f Hz, expected %f", midi, (double)found, (double)wants);
    }
    assert_int_equal(qf_pitch_midi(pitch(tsv_cell(&tsv, i, "sharp_name"))), midi);
    assert_int_equal(qf_pitch_midi(pitch(tsv_cell(&tsv, i, "flat_name"))), midi);
  }
  tsv_free(&tsv);
}

static void
test_octaves_follow_the_letter(void** state)
{
  (void)state;
  // Source: references.md, "Octave edges"
  assert_int_equal(qf_pitch_midi(pitch("C4")), 60);
  assert_int_equal(qf_pitch_midi(pitch("B#3")), 60);
  assert_int_equal(qf_pitch_midi(pitch("Cb4")), 59);
  assert_int_equal(qf_pitch_midi(pitch("B##3")), 61);
  assert_int_equal(qf_pitch_midi(pitch("Cbb4")), 58);
  assert_int_equal(qf_pitch_step(pitch("C0")), 0);
  assert_int_equal(qf_pitch_step(pitch("C4")), 28);
  assert_int_equal(qf_pitch_step(pitch("B4")), 34);
  assert_int_equal(qf_pitch_step(pitch("B-1")), -1);
}

static void
test_steps_and_back(void** state)
{
  (void)state;
  for (int step = -7; step < 70; ++step) {
    for (int alter = -QF_MAX_ALTER; alter <= QF_MAX_ALTER; ++alter) {
      const QfPitch p = qf_pitch_from_step(step, alter);
      assert_int_equal(qf_pitch_step(p), step);
      assert_int_equal(p.alter, alter);
      char text[12];
      qf_pitch_write(p, text, sizeof(text));
      assert_true(qf_pitch_equals(pitch(text), p));
    }
  }
}

static void
test_line_of_fifths_and_back(void** state)
{
  (void)state;
  // Common practice: each fifth up adds seven semitones
  QfNoteName name      = {0, 0};
  int        n_spelled = 0;
  for (int fifths = -40; fifths <= 40; ++fifths) {
    if (!qf_note_name_from_fifths(fifths, &name)) {
      ++n_spelled;
      assert_int_equal(qf_note_name_fifths(name), fifths);
      assert_int_equal(qf_note_name_semitones(name), ((7 * fifths) % 12 + 12) % 12);
    }
  }
  assert_int_equal(n_spelled, 7 * (2 * QF_MAX_ALTER + 1));
  assert_int_equal(qf_note_name_fifths((QfNoteName){3, 0}), -1);
  assert_int_equal(qf_note_name_fifths((QfNoteName){3, 1}), 6);
  assert_int_equal(qf_note_name_fifths((QfNoteName){6, -1}), -2);
}

typedef struct {
  const char* text;
  QfStatus    status;
  QfNoteName  name;
} NameCase;

// Source: the contract in pitch.h
static const NameCase name_cases[] = {
  {"C", QF_OK, {0, 0}},
  {"f#", QF_OK, {3, 1}},
  {"bb", QF_OK, {6, -1}},
  {"Bbbbb", QF_OK, {6, -4}},
  {"G####", QF_OK, {4, 4}},
  {"E\u266D", QF_OK, {2, -1}},
  {"F\u266F", QF_OK, {3, 1}},
  {"F\U0001D12A", QF_OK, {3, 2}},
  {"B\U0001D12B", QF_OK, {6, -2}},
  {"G\u266E", QF_OK, {4, 0}},
  {"", QF_ERR_BAD_TEXT, {0, 0}},
  {"H", QF_ERR_BAD_TEXT, {0, 0}},
  {"Cx", QF_ERR_BAD_TEXT, {0, 0}},
  {"C#b", QF_ERR_BAD_TEXT, {0, 0}},
  {"C4", QF_ERR_BAD_TEXT, {0, 0}},
  {"C#####", QF_ERR_RANGE, {0, 0}},
  {"Dbbbbb", QF_ERR_RANGE, {0, 0}},
};

static void
test_note_names_are_read_or_refused(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(name_cases) / sizeof(name_cases[0]); ++i) {
    const NameCase* const c     = &name_cases[i];
    QfNoteName            name  = {0, 0};
    QfError               error = {0};
    const QfStatus        st    = qf_note_name_parse(c->text, &name, NULL, &error);
    if (st != c->status || (!st && !qf_note_name_equals(name, c->name))) {
      fail_msg("\"%s\": status %d, %s", c->text, (int)st, error.text);
    }
    assert_int_equal(!st, !error.text[0]);
  }
}

static void
test_too_many_accidentals_say_so(void** state)
{
  (void)state;
  QfPitch p     = {0, 0, 0};
  QfError error = {0};
  assert_int_equal(qf_pitch_parse("C#####4", &p, &error), QF_ERR_RANGE);
  assert_non_null(strstr(error.text, "more than 4 sharps or flats"));
  assert_int_equal(qf_pitch_parse("C", &p, &error), QF_ERR_BAD_TEXT);
  assert_int_equal(qf_pitch_parse("C4x", &p, &error), QF_ERR_BAD_TEXT);
  assert_int_equal(qf_pitch_parse("C+4", &p, &error), QF_ERR_BAD_TEXT);
  assert_int_equal(qf_pitch_parse("C 4", &p, &error), QF_ERR_BAD_TEXT);
  assert_int_equal(qf_pitch_parse("C99999999999999999999", &p, &error), QF_ERR_RANGE);
}

static void
test_reading_stops_where_asked(void** state)
{
  (void)state;
  QfNoteName  name = {0, 0};
  const char* end  = NULL;
  assert_int_equal(qf_note_name_parse("Eb major", &name, &end, NULL), QF_OK);
  assert_string_equal(end, " major");
  assert_true(qf_note_name_equals(name, (QfNoteName){2, -1}));
}

static void
test_comparing_goes_by_sound_then_step(void** state)
{
  (void)state;
  assert_true(qf_pitch_compare(pitch("C4"), pitch("D4")) < 0);
  assert_true(qf_pitch_compare(pitch("B#3"), pitch("C4")) < 0);
  assert_true(qf_pitch_compare(pitch("Db4"), pitch("C#4")) > 0);
  assert_int_equal(qf_pitch_compare(pitch("Db4"), pitch("Db4")), 0);
}

// Source: Unicode character database, tests/data/references/unicode_music.tsv.
static void
test_accidentals_are_the_code_points_of_unicode(void** state)
{
  static const struct {
    const char* code_point;
    int         alter;
  } signs[] = {{"U+266D", -1}, {"U+266E", 0}, {"U+266F", 1}, {"U+1D12A", 2}, {"U+1D12B", -2}};

  (void)state;
  Tsv tsv     = tsv_open("unicode_music");
  int n_found = 0;
  for (size_t i = 0; i < tsv.n_rows; ++i) {
    for (size_t s = 0; s < sizeof(signs) / sizeof(signs[0]); ++s) {
      if (strcmp(tsv_cell(&tsv, i, "codepoint"), signs[s].code_point) != 0) {
        continue;
      }

      char        text[16] = "D";
      size_t      length   = 1;
      const char* hex      = tsv_cell(&tsv, i, "utf8_hex");
      for (char* end = NULL; *hex; hex = end) {
        text[length++] = (char)strtol(hex, &end, 16);
      }
      QfNoteName name = {0, 0};
      assert_int_equal(qf_note_name_parse(text, &name, NULL, NULL), QF_OK);
      assert_int_equal(name.alter, signs[s].alter);
      ++n_found;
    }
  }
  assert_int_equal(n_found, 5);
  tsv_free(&tsv);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_spelled_pitches_have_their_midi_numbers),
    cmocka_unit_test(test_midi_numbers_have_their_frequencies),
    cmocka_unit_test(test_octaves_follow_the_letter),
    cmocka_unit_test(test_steps_and_back),
    cmocka_unit_test(test_line_of_fifths_and_back),
    cmocka_unit_test(test_note_names_are_read_or_refused),
    cmocka_unit_test(test_too_many_accidentals_say_so),
    cmocka_unit_test(test_reading_stops_where_asked),
    cmocka_unit_test(test_comparing_goes_by_sound_then_step),
    cmocka_unit_test(test_accidentals_are_the_code_points_of_unicode),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
