// SPDX-License-Identifier: MIT
// What is said of both pages at a place; answers and sentences worked out by hand.
#include "study/qf-compare-words.h"

#include "study_support.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static const Passage passage = {
  "C major",
  "4/4",
  {"C5/4 D5/4 E5/4 F5/4", "E4/4 G4/4 C5/4 A4/4", "G3/4 B3/4 G3/4 F3/4", "C3/4 G2/4 C3/4 D3/4"},
  "0 I; 1/4 V; 1/2 I; 3/4 ii"};

typedef struct {
  const char* label;
  const char* soprano;
  const char* place;
  const char* text;
} WordsCase;

static const WordsCase words_cases[] = {
  {"alike", "C5/4 D5/4 E5/4 F5/4", "1/4", "Bar 1 beat 2, Soprano: D 5, alike"},
  {"another note", "C5/4 B4/4 E5/4 F5/4", "1/4",
   "Bar 1 beat 2, Soprano: the answer has B 4, the passage has D 5"},
  {"missing", "C5/4 D5/4 E5/4", "3/4", "Bar 1 beat 4, Soprano: F 5 is missing in the answer"},
  // Half a beat too long, so that only its length is at fault.
  {"another length", "C5/4 D5/4 E5.4", "1/2",
   "Bar 1 beat 3, Soprano: E 5 on both pages, but another time or length"},
  // Between the first beat's note and the second's, where both share a beat.
  {"too many", "C5/8 A5/8 D5/4 E5/4 F5/4", "1/8",
   "Bar 1 beat 1 and 1/2, Soprano: A 5 is too many in the answer"},
};

static void
test_both_pages_are_told(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(words_cases) / sizeof(words_cases[0]); ++i) {
    const WordsCase* const c          = &words_cases[i];
    QfLesson* const        lesson     = lesson_of(&passage);
    QfAnswer* const        answer     = begun_answer(lesson);
    QfGrade*               grade      = NULL;
    QfComparison*          comparison = NULL;
    char                   text[280];
    write_voice(answer, 0, "0", c->soprano);
    assert_int_equal(
      qf_grade_new(lesson, answer, (QfGradeOptions){.attempt = QF_LAST_ATTEMPT}, &grade, NULL),
      QF_OK);
    assert_int_equal(
      qf_comparison_new(lesson, qf_answer_get_attempt(answer, 0), grade, &comparison, NULL), QF_OK);
    qf_compare_describe(comparison, 0, time_of(c->place), QF_NAMING_ENGLISH, text, sizeof(text));
    assert_string_equal(text, c->text);
    qf_comparison_free(comparison);
    qf_grade_free(grade);
    qf_answer_free(answer);
    qf_lesson_free(lesson);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_both_pages_are_told)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
