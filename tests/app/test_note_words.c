// SPDX-License-Identifier: MIT
#include "study/qf-note-words.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static QfNoteWordSense
sense_of(const char* const key_text, const QfSolfegeKind solfege)
{
  QfNoteWordSense sense = {.solfege = solfege};
  assert_int_equal(qf_key_parse(key_text, &sense.key, NULL), QF_OK);
  return sense;
}

static void
assert_word(const char* const     text,
            const QfNoteWordSense sense,
            const char* const     note,
            const bool            is_degree)
{
  QfNoteWord word = {0};
  char       seen[16];

  assert_int_equal(qf_note_word_parse(text, sense, &word, NULL), QF_OK);
  qf_note_name_write(word.name, seen, sizeof(seen));
  assert_string_equal(seen, note);
  assert_int_equal(word.is_degree, is_degree);
}

static void
test_letters(void** const state)
{
  const QfNoteWordSense sense = sense_of("A major", QF_SOLFEGE_DO_MINOR);
  QfNoteWord            word  = {0};

  (void)state;
  assert_word("F#", sense, "F#", false);
  assert_word("b", sense, "B", false);
  assert_word("Bb", sense, "Bb", false);
  assert_int_equal(qf_note_word_parse("C#5", sense, &word, NULL), QF_OK);
  assert_true(word.has_octave);
  assert_int_equal(word.octave, 5);
}

/// Degrees and movable do of A major and C minor: common practice
static void
test_degrees_and_syllables(void** const state)
{
  const QfNoteWordSense major = sense_of("A major", QF_SOLFEGE_DO_MINOR);
  const QfNoteWordSense minor = sense_of("C minor", QF_SOLFEGE_DO_MINOR);
  const QfNoteWordSense la    = sense_of("C minor", QF_SOLFEGE_LA_MINOR);

  (void)state;
  assert_word("1", major, "A", true);
  assert_word("3", major, "C#", true);
  assert_word("#4", major, "D#", true);
  assert_word("b7", major, "G", true);
  assert_word("do", major, "A", true);
  assert_word("Re", major, "B", true);
  assert_word("fi", major, "D#", true);
  assert_word("me", minor, "Eb", true);
  assert_word("ti", minor, "B", true);
  assert_word("la", la, "C", true);
  assert_word("do", la, "Eb", true);
}

static void
test_refuses(void** const state)
{
  static const char* const wrong[] = {"", "H", "8", "0", "###4", "dox", "C#55", "4#", "?", "F#-1"};
  const QfNoteWordSense    sense   = sense_of("C major", QF_SOLFEGE_DO_MINOR);

  (void)state;
  for (size_t i = 0; i < sizeof(wrong) / sizeof(wrong[0]); ++i) {
    QfNoteWord word  = {0};
    QfError    error = {0};
    assert_int_equal(qf_note_word_parse(wrong[i], sense, &word, &error), QF_ERR_BAD_TEXT);
    assert_true(error.text[0] != '\0');
  }
}

/// The nearest octave is at most a fourth away
static void
test_near(void** const state)
{
  const QfPitch b3   = {6, 0, 3};
  QfNoteWord    word = {0};

  (void)state;
  word.name = (QfNoteName){0, 0};
  assert_int_equal(qf_note_word_near(word, b3).octave, 4);
  word.name = (QfNoteName){3, 1};
  assert_int_equal(qf_note_word_near(word, b3).octave, 3);
  word.has_octave = true;
  word.octave     = 5;
  assert_int_equal(qf_note_word_near(word, b3).octave, 5);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_letters),
    cmocka_unit_test(test_degrees_and_syllables),
    cmocka_unit_test(test_refuses),
    cmocka_unit_test(test_near),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
