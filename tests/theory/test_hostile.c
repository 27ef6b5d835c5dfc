// SPDX-License-Identifier: MIT
#include "quintfall/figured_bass.h"
#include "quintfall/numeral.h"
#include "quintfall/solfege.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum {
  N_ROUNDS   = 60000,
  MAX_LENGTH = 24,
};

/// Next number of a linear congruential generator (Knuth's MMIX constants), so that runs repeat
static uint32_t
draw(uint64_t* const seed)
{
  *seed = *seed * 6364136223846793005ULL + 1442695040888963407ULL;
  return (uint32_t)(*seed >> 33);
}

// Pieces that get a parser further than plain noise
static const char* const pieces[] = {
  "V",  "I",    "i",    "vii",   "N",      "It",     "Ger",        "Cad", "64", "6/5",
  "/",  "/o",   "o",    "+",     "[add",   "[no",    "]",          "#",   "b",  "\u266D",
  "7",  "42",   "9",    "maj",   "d",      "-",      "\u00F8",     "C",   "A",  "B",
  "m",  "m7b5", "sus4", "(no5)", " minor", " major", ":",          "4",   "P",  "99999999999",
  "\n", "\xF0", "\xFF", "\x01",  "%s",     "%n",     "\U0001D12B", "n",   "6",  "13",
};

static void
make_text(uint64_t* const seed, char* const text, const size_t size)
{
  size_t       length = 0;
  const size_t n      = draw(seed) % 8U;
  for (size_t i = 0; i < n; ++i) {
    const bool        is_noise = draw(seed) % 4U == 0;
    char              noise[2] = {(char)(draw(seed) % 255U + 1U), '\0'};
    const char* const piece =
      is_noise ? noise : pieces[draw(seed) % (sizeof(pieces) / sizeof(pieces[0]))];
    if (length + strlen(piece) + 1U > size) {
      break;
    }
    memcpy(text + length, piece, strlen(piece));
    length += strlen(piece);
  }
  text[length] = '\0';
}

/// Whatever was accepted must be usable everywhere
static void
use_numeral(const QfNumeral* const numeral, const QfMode mode)
{
  char           text[QF_NUMERAL_TEXT_SIZE];
  char           spoken[40]; // too small on purpose
  QfNumeralParts parts;
  QfNumeral      again = {0};
  QfError        error = {0};
  qf_numeral_write(numeral, mode, text, sizeof(text));
  qf_numeral_speak(numeral, mode, spoken, sizeof(spoken));
  qf_numeral_parts(numeral, mode, &parts);
  qf_numeral_function(numeral);
  if (qf_numeral_parse(text, mode, &again, &error) || !qf_numeral_equals(&again, numeral)) {
    fail_msg("\"%s\" is not read as written: %s", text, error.text);
  }

  for (int fifths = -7; fifths <= 7; fifths += 7) {
    QfKey      key   = {{0, 0}, QF_MAJOR};
    QfChord    chord = {0};
    QfNumeral  list[8];
    QfNoteName notes[QF_CHORD_MAX_NOTES + QF_NUMERAL_MAX_CHANGES];
    int        n = 0;
    assert_int_equal(qf_key_from_fifths(fifths, mode, &key), QF_OK);
    if (!qf_numeral_chord(numeral, key, &chord, NULL)) {
      qf_numeral_candidates(chord, key, list, sizeof(list) / sizeof(list[0]));
      qf_figured_bass_write(chord, key, text, sizeof(text));
    }
    qf_numeral_notes(numeral, key, notes, &n);
    assert_true(n <= QF_CHORD_MAX_NOTES + QF_NUMERAL_MAX_CHANGES);
  }
}

static QfError*
cleared(QfError* const error)
{
  *error = (QfError){0};
  return error;
}

/// A refusal has a sentence, a success has none
static void
expect_reason(const QfStatus st, const QfError* const error)
{
  assert_int_equal(st != QF_OK, error->text[0] != '\0');
}

static void
check_parsers(const char* const text)
{
  QfNoteName name     = {0, 0};
  QfPitch    pitch    = {0, 0, 0};
  QfInterval interval = {0, 0};
  QfKey      key      = {{0, 0}, QF_MAJOR};
  QfChord    chord    = {0};
  QfNumeral  numeral  = {0};
  QfNoteName notes[QF_CHORD_MAX_NOTES];
  int        n = 0;
  QfError    error;
  char       out[64];

  expect_reason(qf_note_name_parse(text, &name, NULL, cleared(&error)), &error);
  expect_reason(qf_interval_parse(text, &interval, cleared(&error)), &error);
  expect_reason(qf_key_parse(text, &key, cleared(&error)), &error);
  expect_reason(qf_figured_bass_notes(name, text, key, notes, &n, cleared(&error)), &error);
  if (!qf_pitch_parse(text, &pitch, cleared(&error))) {
    qf_pitch_write(pitch, out, sizeof(out));
    assert_true(qf_midi_frequency(qf_pitch_midi(pitch)) > 0);
  }
  if (!qf_chord_parse_symbol(text, &chord, cleared(&error))) {
    qf_chord_write_symbol(chord, true, out, sizeof(out));
    assert_true(qf_chord_notes(chord, notes, &n) != QF_OK || n >= 1);
  }
  for (int mode = QF_MAJOR; mode <= QF_MINOR; ++mode) {
    if (!qf_numeral_parse(text, (QfMode)mode, &numeral, cleared(&error))) {
      use_numeral(&numeral, (QfMode)mode);
    } else {
      assert_true(error.text[0] != '\0' && error.offset <= strlen(text));
    }
  }
}

static void
test_garbage_is_refused_without_harm(void** state)
{
  (void)state;
  uint64_t seed = 20260101;
  for (int i = 0; i < N_ROUNDS; ++i) {
    // An exact allocation, so that reading past the end is caught
    char buffer[MAX_LENGTH];
    make_text(&seed, buffer, sizeof(buffer));
    char* const text = strdup(buffer);
    check_parsers(text);
    free(text);
  }
}

static void
test_long_text_is_refused(void** state)
{
  (void)state;
  char text[5000];
  for (size_t i = 0; i < sizeof(pieces) / sizeof(pieces[0]); ++i) {
    size_t length = 0;
    while (length + strlen(pieces[i]) < sizeof(text) - 1U) {
      memcpy(text + length, pieces[i], strlen(pieces[i]));
      length += strlen(pieces[i]);
    }
    text[length] = '\0';
    check_parsers(text);
  }
}

static void
test_any_notes_can_be_looked_at(void** state)
{
  (void)state;
  uint64_t seed = 7;
  for (int i = 0; i < N_ROUNDS / 10; ++i) {
    QfNoteName   notes[9];
    const size_t n = draw(&seed) % 9U;
    for (size_t m = 0; m < n; ++m) {
      notes[m] = (QfNoteName){(int8_t)(draw(&seed) % 7U), (int8_t)((int)(draw(&seed) % 9U) - 4)};
    }
    QfChord      found[4];
    const size_t n_found = qf_chord_detect(notes, n, found, 4);
    for (size_t f = 0; f < n_found; ++f) {
      for (size_t m = 0; m < n; ++m) {
        assert_true(qf_chord_member_of(found[f], notes[m]) >= 0);
      }
      const QfKey key = {{0, 0}, f % 2U ? QF_MINOR : QF_MAJOR};
      QfNumeral   list[4];
      char        text[8]; // too small on purpose
      qf_numeral_candidates(found[f], key, list, 4);
      qf_figured_bass_write(found[f], key, text, sizeof(text));
      qf_chord_write_symbol(found[f], true, text, sizeof(text));
      qf_solfege(notes[0], key, QF_SOLFEGE_DO_MINOR);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_garbage_is_refused_without_harm),
    cmocka_unit_test(test_long_text_is_refused),
    cmocka_unit_test(test_any_notes_can_be_looked_at),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
