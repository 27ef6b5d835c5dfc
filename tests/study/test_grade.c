// SPDX-License-Identifier: MIT
// Answers marked by hand. The points beside each are worked out from the rubric, as the comment
// says; what counts as one error or two is common practice in correcting dictations.
#include "study_support.h"

#include "quintfall/grade.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

// Eight chords with two applied dominants, a six-four and a cadence.
static const Passage passage = {
  "C major",
  "4/4",
  {"C5/4 C#5/4 D5/4 D5/4 D5/4 E5/4 D5/4 C5/4", "G4/4 G4/4 F4/4 A4/4 G4/4 G4/4 F4/4 E4/4",
   "E4/4 E4/4 A3/4 C4/4 B3/4 C4/4 B3/4 C4/4", "C3/4 A2/4 D3/4 F#3/4 G3/4 G3/4 G2/4 C3/4"},
  "0 I; 1/4 V7/ii; 1/2 ii; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I"};

/// Switches of a rubric for a case
typedef enum {
  PLAIN        = 0,
  NO_FOLLOWING = 1 << 0,
  ENHARMONIC   = 1 << 1,
  STRICT_SIX   = 1 << 2,
  DEGREE       = 1 << 3,
  STRICT_KEY   = 1 << 4,
} Switch;

typedef struct {
  const char* label;
  QfLayer     layer;
  const char* text; ///< Notes from the start, qualities or numerals
  unsigned    switches;
  double      points;
} MarkCase;

// The rubric "Balanced": a note is worth 1 and loses 1/4 for octave, spelling or rhythm, 1/2 for
// an accidental, all for another pitch; too many costs 1/2. A quality is worth 1 and loses 1/2 for
// the seventh. A numeral is worth 2 and loses a quarter of that for quality, seventh or inversion,
// a half for the target, all for the function. A layer of notes or qualities has 8 points, the
// inner voices and the numerals have 16.
static const MarkCase mark_cases[] = {
  // The bass
  {"bass without fault", QF_LAYER_BASS, "C3/4 A2/4 D3/4 F#3/4 G3/4 G3/4 G2/4 C3/4", PLAIN, 8.0},
  {"no bass", QF_LAYER_BASS, "", PLAIN, 0.0},
  // One error: the octave was misjudged once. 8 - 1/4
  {"bass an octave low", QF_LAYER_BASS, "C2/4 A1/4 D2/4 F#2/4 G2/4 G2/4 G1/4 C2/4", PLAIN, 7.75},
  // Each note charged by itself. 8 - 8 * 1/4
  {"bass an octave low, each charged", QF_LAYER_BASS, "C2/4 A1/4 D2/4 F#2/4 G2/4 G2/4 G1/4 C2/4",
   NO_FOLLOWING, 6.0},
  {"sharp forgotten", QF_LAYER_BASS, "C3/4 A2/4 D3/4 F3/4 G3/4 G3/4 G2/4 C3/4", PLAIN, 7.5},
  {"G flat for F sharp", QF_LAYER_BASS, "C3/4 A2/4 D3/4 Gb3/4 G3/4 G3/4 G2/4 C3/4", PLAIN, 7.75},
  {"G flat for F sharp, equal", QF_LAYER_BASS, "C3/4 A2/4 D3/4 Gb3/4 G3/4 G3/4 G2/4 C3/4",
   ENHARMONIC, 8.0},
  {"one wrong note", QF_LAYER_BASS, "C3/4 A2/4 E3/4 F#3/4 G3/4 G3/4 G2/4 C3/4", PLAIN, 7.0},
  {"one note left out", QF_LAYER_BASS, "C3/4 A2/4 r/4 F#3/4 G3/4 G3/4 G2/4 C3/4", PLAIN, 7.0},
  // The rest is right, only earlier: it was not heard that one is missing.
  {"one note left out, the rest early", QF_LAYER_BASS, "C3/4 A2/4 F#3/4 G3/4 G3/4 G2/4 C3/4", PLAIN,
   7.0},
  // D is short (1/4), E is too many (1/2)
  {"one note too many", QF_LAYER_BASS, "C3/4 A2/4 D3/8 E3/8 F#3/4 G3/4 G3/4 G2/4 C3/4", PLAIN,
   7.25},
  // The second G is missing (1), the first is long (1/4)
  {"repeated note held", QF_LAYER_BASS, "C3/4 A2/4 D3/4 F#3/4 G3/2 G2/4 C3/4", PLAIN, 6.75},
  {"last note short", QF_LAYER_BASS, "C3/4 A2/4 D3/4 F#3/4 G3/4 G3/4 G2/4 C3/8", PLAIN, 7.75},
  {"octave and sharp", QF_LAYER_BASS, "C3/4 A2/4 D3/4 F2/4 G3/4 G3/4 G2/4 C3/4", PLAIN, 7.25},
  // Begun a third too high and rightly led from there: one error
  {"bass a third high", QF_LAYER_BASS, "E3/4 C3/4 F3/4 A3/4 B3/4 B3/4 B2/4 E3/4", PLAIN, 7.0},
  {"bass a third high, each charged", QF_LAYER_BASS, "E3/4 C3/4 F3/4 A3/4 B3/4 B3/4 B2/4 E3/4",
   NO_FOLLOWING, 0.0},
  // D is an eighth late and short, F sharp is in time again: one error of rhythm
  {"one note late", QF_LAYER_BASS, "C3/4 A2/4 r/8 D3/8 F#3/4 G3/4 G3/4 G2/4 C3/4", PLAIN, 7.75},
  // A is long (1/4); what is pushed late by it follows, the last note is cut short (1/4)
  {"long note pushes the rest", QF_LAYER_BASS, "C3/4 A2.4 D3/4 F#3/4 G3/4 G3/4 G2/4 C3/8", PLAIN,
   7.5},

  // The soprano
  {"soprano without fault", QF_LAYER_SOPRANO, "C5/4 C#5/4 D5/4 D5/4 D5/4 E5/4 D5/4 C5/4", PLAIN,
   8.0},
  {"applied leading tone unheard", QF_LAYER_SOPRANO, "C5/4 C5/4 D5/4 D5/4 D5/4 E5/4 D5/4 C5/4",
   PLAIN, 7.5},
  {"D flat for C sharp", QF_LAYER_SOPRANO, "C5/4 Db5/4 D5/4 D5/4 D5/4 E5/4 D5/4 C5/4", PLAIN, 7.75},
  {"only the beginning", QF_LAYER_SOPRANO, "C5/4 C#5/4 D5/4", PLAIN, 3.0},
  {"only the end", QF_LAYER_SOPRANO, "r/1 r/4 E5/4 D5/4 C5/4", PLAIN, 3.0},
  {"all notes F", QF_LAYER_SOPRANO, "F5/4 F5/4 F5/4 F5/4 F5/4 F5/4 F5/4 F5/4", NO_FOLLOWING, 0.0},

  // Qualities
  {"qualities without fault", QF_LAYER_QUALITY,
   "0 major; 1/4 dom7; 1/2 minor; 3/4 dom7; 1 major; 5/4 major; 3/2 dom7; 7/4 major", PLAIN, 8.0},
  {"minor heard as major", QF_LAYER_QUALITY,
   "0 major; 1/4 dom7; 1/2 major; 3/4 dom7; 1 major; 5/4 major; 3/2 dom7; 7/4 major", PLAIN, 7.0},
  {"seventh unheard", QF_LAYER_QUALITY,
   "0 major; 1/4 major; 1/2 minor; 3/4 dom7; 1 major; 5/4 major; 3/2 dom7; 7/4 major", PLAIN, 7.5},
  {"a seventh too many", QF_LAYER_QUALITY,
   "0 major; 1/4 dom7; 1/2 min7; 3/4 dom7; 1 major; 5/4 major; 3/2 dom7; 7/4 major", PLAIN, 7.5},
  {"half-diminished for dominant", QF_LAYER_QUALITY,
   "0 major; 1/4 half-dim7; 1/2 minor; 3/4 dom7; 1 major; 5/4 major; 3/2 dom7; 7/4 major", PLAIN,
   7.0},
  {"one quality left out", QF_LAYER_QUALITY,
   "0 major; 1/4 dom7; 1/2 minor; 1 major; 5/4 major; 3/2 dom7; 7/4 major", PLAIN, 7.0},
  {"one quality too many", QF_LAYER_QUALITY,
   "0 major; 1/4 dom7; 1/2 minor; 5/8 dim7; 3/4 dom7; 1 major; 5/4 major; 3/2 dom7; 7/4 major",
   PLAIN, 7.5},

  // Numerals
  {"numerals without fault", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 ii; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 16.0},
  {"inversion missed", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 ii; 3/4 V7/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 15.5},
  {"seventh missed", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 ii; 3/4 V6/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 15.5},
  // Both are in the figures 6-5: charged once
  {"figures left out", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 ii; 3/4 V/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 15.5},
  {"wrong target", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/V; 1/2 ii; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 15.0},
  {"no target", QF_LAYER_NUMERAL, "0 I; 1/4 V7; 1/2 ii; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I",
   PLAIN, 15.0},
  // The right notes under the name of their degree
  {"VI7 for V7 of ii", QF_LAYER_NUMERAL,
   "0 I; 1/4 VI7; 1/2 ii; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 15.0},
  {"VI7 for V7 of ii, equal", QF_LAYER_NUMERAL,
   "0 I; 1/4 VI7; 1/2 ii; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", DEGREE, 16.0},
  {"II65 for V65 of V, equal", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 ii; 3/4 II65; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", DEGREE, 16.0},
  {"I64 for the cadential six-four", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 ii; 3/4 V65/V; 1 V; 5/4 I64; 3/2 V7; 7/4 I", PLAIN, 16.0},
  {"V64 for the cadential six-four", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 ii; 3/4 V65/V; 1 V; 5/4 V64; 3/2 V7; 7/4 I", PLAIN, 16.0},
  {"I64 where names are told apart", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 ii; 3/4 V65/V; 1 V; 5/4 I64; 3/2 V7; 7/4 I", STRICT_SIX, 14.0},
  {"another function", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 IV; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 14.0},
  {"another quality", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 II; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 15.5},
  {"not a numeral", QF_LAYER_NUMERAL,
   "0 I; 1/4 hm?; 1/2 ii; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 14.0},
  {"one chord left out, the rest early", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 V65/V; 3/4 V; 1 Cad64; 5/4 V7; 3/2 I", PLAIN, 14.0},
  // The target is wrong (1); the chord after it is a fifth below it, as it should be
  {"chain led to another degree", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/IV; 1/2 IV; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 15.0},
  {"chain led to another degree, each charged", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/IV; 1/2 IV; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", NO_FOLLOWING, 13.0},
  {"accidental before the numeral", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 bii; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 15.5},
  // Too many costs half of 2
  {"one numeral too many", QF_LAYER_NUMERAL,
   "0 I; 1/4 V7/ii; 1/2 ii; 5/8 vi; 3/4 V65/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I", PLAIN, 15.0},
};

static QfRubric
rubric_of(const unsigned switches)
{
  QfRubric rubric            = *qf_rubric_find("Balanced");
  rubric.follows_errors      = !(switches & NO_FOLLOWING);
  rubric.enharmonic_is_equal = switches & ENHARMONIC;
  rubric.six_four_is_equal   = !(switches & STRICT_SIX);
  rubric.degree_is_applied   = switches & DEGREE;
  rubric.key_is_free         = !(switches & STRICT_KEY);
  return rubric;
}

static void
write_text(QfAnswer* const answer, const QfLayer layer, const char* const text)
{
  if (layer == QF_LAYER_QUALITY) {
    write_qualities(answer, text);
  } else if (layer == QF_LAYER_NUMERAL) {
    write_numerals(answer, text);
  } else {
    write_voice(answer, layer == QF_LAYER_BASS ? 3 : 0, "0", text);
  }
}

static QfGrade*
grade_with(QfLesson* const lesson, const QfAnswer* const answer, const QfRubric* const rubric)
{
  QfGrade* grade = NULL;
  QfError  error = {0};
  if (qf_grade_new(lesson, answer, (QfGradeOptions){rubric, QF_LAST_ATTEMPT, QF_NAMING_ENGLISH},
                   &grade, &error)) {
    fail_msg("%s", error.text);
  }
  return grade;
}

/// Points lost are explained, and only they
static void
check_reasons(const QfGrade* const grade, const char* const label)
{
  for (size_t i = 0; i < qf_grade_n_verdicts(grade); ++i) {
    const QfVerdict* const verdict = qf_grade_get_verdict(grade, i);
    const bool             is_lost = verdict->points < verdict->possible;
    if ((is_lost && (!verdict->reason[0] || !strchr(verdict->reason, '('))) ||
        (!is_lost && strstr(verdict->reason, "(\u2212")) ||
        (verdict->kind == QF_VERDICT_RIGHT) == is_lost) {
      fail_msg("%s: \"%s\" for %g of %g", label, verdict->reason, verdict->points,
               verdict->possible);
    }
  }
}

static void
print_reasons(const QfGrade* const grade)
{
  for (size_t i = 0; i < qf_grade_n_verdicts(grade); ++i) {
    const QfVerdict* const verdict = qf_grade_get_verdict(grade, i);
    if (verdict->reason[0]) {
      print_message("  %s\n", verdict->reason);
    }
  }
}

static void
test_answers_get_the_points_of_the_hand(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  assert_int_equal(qf_labels_n_links(qf_lesson_get_labels(lesson)), 8);
  int n_failed = 0;
  for (size_t i = 0; i < sizeof(mark_cases) / sizeof(mark_cases[0]); ++i) {
    const MarkCase* const row    = &mark_cases[i];
    QfAnswer* const       answer = begun_answer(lesson);
    write_text(answer, row->layer, row->text);
    const QfRubric rubric = rubric_of(row->switches);
    QfGrade* const grade  = grade_with(lesson, answer, &rubric);
    const double   points = qf_grade_get_layer_points(grade, row->layer);
    check_reasons(grade, row->label);
    if (fabs(points - row->points) > 1e-9) {
      print_message("%s: %g points, not %g\n", row->label, points, row->points);
      print_reasons(grade);
      ++n_failed;
    }
    qf_grade_free(grade);
    qf_answer_free(answer);
  }
  assert_int_equal(n_failed, 0);
  qf_lesson_free(lesson);
}

static QfGrade*
grade_plain(QfLesson* const lesson, const QfAnswer* const answer)
{
  return grade_with(lesson, answer, NULL);
}

static void
test_the_solution_gets_full_marks(void** state)
{
  (void)state;
  for (size_t i = 0; i < qf_rubric_n_shipped(); ++i) {
    QfLesson* const lesson = lesson_of(&passage);
    QfAnswer* const answer = begun_answer(lesson);
    write_solution(answer, lesson);
    QfGrade* const grade = grade_with(lesson, answer, qf_rubric_get_shipped(i));
    assert_true(qf_grade_get_possible(grade) > 0.0);
    assert_true(fabs(qf_grade_get_points(grade) - qf_grade_get_possible(grade)) < 1e-9);
    assert_true(qf_grade_has_passed(grade));
    assert_int_equal(qf_grade_n_differences(grade), 0);
    assert_int_equal(qf_grade_n_remarks(grade), 0);
    assert_int_equal(qf_grade_get_match(grade), QF_MATCH_SAME);
    check_reasons(grade, qf_rubric_get_shipped(i)->name);
    for (size_t t = 0; t < qf_grade_n_tallies(grade); ++t) {
      const QfTally* const tally = qf_grade_get_tally(grade, t);
      assert_int_equal(tally->right, tally->asked);
      assert_non_null(strchr(tally->concept, '/'));
    }
    qf_grade_free(grade);
    qf_answer_free(answer);
    qf_lesson_free(lesson);
  }
}

static const char* const demo_names[] = {"ferry-bell", "lantern-walk", "low-water", "two-piers"};

static void
test_the_solutions_of_the_demo_get_full_marks(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(demo_names) / sizeof(demo_names[0]); ++i) {
    char path[512];
    snprintf(path, sizeof(path), QF_SOURCE_ROOT "/resources/lessons/%s.json", demo_names[i]);
    QfLesson* lesson = NULL;
    assert_int_equal(qf_lesson_load(path, &lesson, NULL), QF_OK);
    QfAnswer* const answer = begun_answer(lesson);
    write_solution(answer, lesson);
    QfGrade* const grade = grade_plain(lesson, answer);
    if (qf_grade_get_percent(grade) < 100.0 - 1e-9) {
      print_reasons(grade);
      fail_msg("%s: %g %%", demo_names[i], qf_grade_get_percent(grade));
    }
    qf_grade_free(grade);
    qf_answer_free(answer);
    qf_lesson_free(lesson);
  }
}

// ---- the published rubric

// Eight chords in root position and inversion, none of them a six-four.
static const Passage exam = {
  "F major",
  "4/4",
  {"A4/4 A4/4 Bb4/4 A4/4 G4/4 G4/4 F4/4 F4/4", "F4/4 F4/4 F4/4 F4/4 D4/4 F4/4 E4/4 C4/4",
   "C4/4 C4/4 D4/4 D4/4 B3/4 C4/4 C4/4 A3/4", "F3/4 A3/4 Bb3/4 D3/4 G3/4 E3/4 C3/4 F3/4"},
  "0 I; 1/4 I6; 1/2 IV; 3/4 vi; 1 V7/V; 5/4 V65; 3/2 V; 7/4 I"};

static const char* const exam_full[]    = {"I", "I6", "IV", "vi", "V7/V", "V65", "V", "I"};
static const char* const exam_numeral[] = {"I6", "I", "IV6", "vi6", "V/V", "V7", "V6", "I6"};

typedef struct {
  int correct_pitches;
  int full_symbols;
  int numeral_only_symbols;
  int score;
} ExamCase;

// Source: College Board, AP Music Theory scoring guidelines (2016, 2019, 2021), as worked out in
// tests/data/references/dictation_scoring.json, row by row.
static const ExamCase exam_cases[] = {
  {16, 8, 0, 24}, {16, 7, 1, 23}, {15, 8, 0, 23}, {10, 4, 3, 16}, {12, 5, 0, 17},
  {0, 0, 1, 1},   {8, 2, 3, 12},  {16, 6, 2, 23}, {7, 0, 8, 11},
};

static void
write_exam(QfAnswer* const answer, const QfLesson* const lesson, const ExamCase* const row)
{
  const QfScore* const score = qf_lesson_get_score(lesson);
  for (int i = 0; i < row->correct_pitches; ++i) {
    const size_t        voice = i % 2 ? 3 : 0;
    const QfNote* const note  = qf_score_get_note(score, voice, (size_t)i / 2U);
    assert_int_equal(
      qf_answer_put_note(answer, voice, note->start, note->duration, note->pitch, NULL, NULL),
      QF_OK);
  }
  for (int i = 0; i < row->full_symbols + row->numeral_only_symbols; ++i) {
    const char* const text = i < row->full_symbols ? exam_full[i] : exam_numeral[i];
    assert_int_equal(qf_answer_set_numeral(answer, qf_time(i, 4), text, NULL, NULL), QF_OK);
  }
}

static void
test_the_published_rubric_scores_as_published(void** state)
{
  (void)state;
  const QfRubric* const rubric = qf_rubric_find("Outer voices and symbols, 24 points");
  QfLesson* const       lesson = lesson_of(&exam);
  for (size_t i = 0; i < sizeof(exam_cases) / sizeof(exam_cases[0]); ++i) {
    QfAnswer* const answer = begun_answer(lesson);
    write_exam(answer, lesson, &exam_cases[i]);
    QfGrade* const grade = grade_with(lesson, answer, rubric);
    assert_true(qf_grade_get_possible(grade) == 24.0);
    if (qf_grade_get_points(grade) != exam_cases[i].score) {
      print_reasons(grade);
      fail_msg("row %zu: %g, not %d", i, qf_grade_get_points(grade), exam_cases[i].score);
    }
    qf_grade_free(grade);
    qf_answer_free(answer);
  }
  qf_lesson_free(lesson);
}

// The rules of the same source, one answer each.
static const MarkCase exam_rules[] = {
  {"bass in another octave: full credit", QF_LAYER_BASS, "F2/4 A3/4 Bb2/4 D3/4 G3/4 E2/4 C3/4 F2/4",
   PLAIN, 8.0},
  {"soprano in another octave: none", QF_LAYER_SOPRANO, "A5/4 A4/4 Bb4/4 A4/4 G4/4 G4/4 F4/4 F4/4",
   PLAIN, 7.0},
  {"enharmonic equivalents: none", QF_LAYER_SOPRANO, "A4/4 A4/4 A#4/4 A4/4 G4/4 G4/4 F4/4 F4/4",
   PLAIN, 7.0},
  {"rhythm ignored", QF_LAYER_SOPRANO, "A4/8 A4/4 r/8 Bb4/4 A4/4 G4/4 G4/8 r/8 F4/4 F4/8", PLAIN,
   8.0},
  {"case ignored", QF_LAYER_NUMERAL, "0 i; 1/4 i6; 1/2 iv; 3/4 VI; 1 V7/V; 5/4 V65; 3/2 V; 7/4 I",
   PLAIN, 8.0},
  {"accidental before the numeral: none", QF_LAYER_NUMERAL,
   "0 I; 1/4 I6; 1/2 bIV; 3/4 vi; 1 V7/V; 5/4 V65; 3/2 V; 7/4 I", PLAIN, 7.0},
  {"applied without a sign for it: none", QF_LAYER_NUMERAL,
   "0 I; 1/4 I6; 1/2 IV; 3/4 vi; 1 II7; 5/4 V65; 3/2 V; 7/4 I", PLAIN, 7.0},
  {"figures missing: half", QF_LAYER_NUMERAL,
   "0 I; 1/4 I; 1/2 IV; 3/4 vi; 1 V7/V; 5/4 V; 3/2 V; 7/4 I", PLAIN, 7.0},
};

static void
test_the_published_rules_hold_one_by_one(void** state)
{
  (void)state;
  const QfRubric* const rubric = qf_rubric_find("Outer voices and symbols, 24 points");
  QfLesson* const       lesson = lesson_of(&exam);
  for (size_t i = 0; i < sizeof(exam_rules) / sizeof(exam_rules[0]); ++i) {
    const MarkCase* const row    = &exam_rules[i];
    QfAnswer* const       answer = begun_answer(lesson);
    write_text(answer, row->layer, row->text);
    QfGrade* const grade  = grade_with(lesson, answer, rubric);
    const double   points = qf_grade_get_layer_points(grade, row->layer);
    if (fabs(points - row->points) > 1e-9) {
      print_reasons(grade);
      fail_msg("%s: %g points, not %g", row->label, points, row->points);
    }
    qf_grade_free(grade);
    qf_answer_free(answer);
  }
  qf_lesson_free(lesson);
}

// ---- errors that follow from others

static void
test_an_inversion_follows_the_bass_that_was_heard(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  QfAnswer* const answer = begun_answer(lesson);
  // D for F sharp in the bass, and so V7/V for V65/V: one error, that of the bass.
  write_voice(answer, 3, "0", "C3/4 A2/4 D3/4 D3/4 G3/4 G3/4 G2/4 C3/4");
  write_numerals(answer, "0 I; 1/4 V7/ii; 1/2 ii; 3/4 V7/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I");
  QfGrade* const grade = grade_plain(lesson, answer);
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_BASS) == 7.0);
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_NUMERAL) == 16.0);
  const QfVerdict* const verdict =
    qf_grade_verdict_of_chord(grade, QF_LAYER_NUMERAL, qf_time(3, 4));
  assert_int_equal(verdict->following, 1U << QF_ASPECT_INVERSION);
  assert_non_null(strstr(verdict->reason, "follows from an earlier error"));
  qf_grade_free(grade);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

static void
test_a_numeral_follows_the_quality_that_was_heard(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  QfAnswer* const answer = begun_answer(lesson);
  write_solution(answer, lesson);
  const QfChordKind major = QF_CHORD_MAJOR;
  assert_int_equal(qf_answer_set_quality(answer, qf_time(1, 4), &major, NULL), QF_OK);
  assert_int_equal(qf_answer_set_numeral(answer, qf_time(1, 4), "V/ii", NULL, NULL), QF_OK);
  QfGrade* const grade = grade_plain(lesson, answer);
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_QUALITY) == 7.5);
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_NUMERAL) == 16.0);
  qf_grade_free(grade);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

static void
test_a_forgotten_accidental_is_charged_once_a_bar(void** state)
{
  (void)state;
  static const Passage sharps = {
    "D major",
    "4/4",
    {"F#4/4 G4/4 F#4/4 E4/4 F#4/2 D4/2", "D4/1 D4/1", "A3/1 A3/1", "D3/1 D3/1"},
    "0 I; 1 I"};
  QfLesson* const lesson = lesson_of(&sharps);
  QfAnswer* const answer = begun_answer(lesson);
  write_voice(answer, 0, "0", "F4/4 G4/4 F4/4 E4/4 F4/2 D4/2");
  QfGrade* const grade = grade_plain(lesson, answer);
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_SOPRANO) == 5.0); // 6 - 2 * 1/2
  qf_grade_free(grade);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

// ---- keys

static void
test_functions_count_in_any_key_if_the_rubric_says_so(void** state)
{
  (void)state;
  QfLesson* const lesson  = lesson_of(&passage);
  QfAnswer* const answer  = begun_answer(lesson);
  const QfKey     d_minor = key_of("D minor");
  write_layer(answer, lesson, QF_LAYER_NUMERAL);
  assert_int_equal(qf_answer_set_numeral(answer, qf_time(1, 4), "V7", &d_minor, NULL), QF_OK);
  assert_int_equal(qf_answer_set_numeral(answer, qf_time(1, 2), "i", &d_minor, NULL), QF_OK);
  const QfRubric free_keys   = rubric_of(PLAIN);
  const QfRubric strict_keys = rubric_of(STRICT_KEY | NO_FOLLOWING);
  QfGrade*       grade       = grade_with(lesson, answer, &free_keys);
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_NUMERAL) == 16.0);
  qf_grade_free(grade);
  grade = grade_with(lesson, answer, &strict_keys);
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_NUMERAL) == 14.0); // Two names of targets
  qf_grade_free(grade);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

static void
test_a_modulation_may_be_told_in_either_key(void** state)
{
  (void)state;
  QfLesson* lesson = NULL;
  assert_int_equal(
    qf_lesson_load(QF_SOURCE_ROOT "/resources/lessons/two-piers.json", &lesson, NULL), QF_OK);
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  const QfKey           home   = qf_labels_get_key(labels);
  QfAnswer* const       answer = begun_answer(lesson);
  size_t                n_away = 0;
  for (size_t i = 0; i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const link = qf_labels_get_link(labels, i);
    char                 text[QF_NUMERAL_TEXT_SIZE];
    qf_numeral_write(&link->numeral, link->key.mode, text, sizeof(text));
    n_away += !qf_key_equals(link->key, home);
    // The numeral of the key of the moment, without its name
    assert_int_equal(qf_answer_set_numeral(answer, link->start, text, NULL, NULL), QF_OK);
  }
  assert_true(n_away > 0);
  const QfRubric free_keys = rubric_of(PLAIN);
  QfGrade* const grade     = grade_with(lesson, answer, &free_keys);
  assert_true(fabs(qf_grade_get_layer_points(grade, QF_LAYER_NUMERAL) -
                   qf_grade_get_layer_possible(grade, QF_LAYER_NUMERAL)) < 1e-9);
  qf_grade_free(grade);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

// ---- what belongs to a result

static const QfTally*
tally_of(const QfGrade* const grade, const char* const concept)
{
  for (size_t i = 0; i < qf_grade_n_tallies(grade); ++i) {
    if (!strcmp(qf_grade_get_tally(grade, i)->concept, concept)) {
      return qf_grade_get_tally(grade, i);
    }
  }
  fail_msg("no tally of %s", concept);
  return NULL;
}

static void
test_concepts_are_tallied(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  QfAnswer* const answer = begun_answer(lesson);
  write_numerals(answer, "0 I; 1/4 V7/IV; 1/2 ii; 3/4 V7/V; 1 V; 5/4 Cad64; 3/2 V7; 7/4 I");
  QfGrade* const grade = grade_plain(lesson, answer);
  assert_int_equal(tally_of(grade, "target/ii")->right, 0);
  assert_int_equal(tally_of(grade, "target/ii")->asked, 1);
  assert_int_equal(tally_of(grade, "target/V")->right, 1);
  assert_int_equal(tally_of(grade, "inversion/1")->right, 0);
  assert_int_equal(tally_of(grade, "inversion/1")->asked, 1);
  assert_int_equal(tally_of(grade, "layer/numeral")->right, 6);
  assert_int_equal(tally_of(grade, "layer/bass")->asked, 8);
  assert_int_equal(tally_of(grade, "function/I")->right, 2);
  qf_grade_free(grade);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

typedef struct {
  const char* label;
  const char* degrees; ///< Of the bass, a quarter each: "1 6 2 #4"
  double      points;
} DegreeCase;

// The bass C3 A2 D3 F#3 G3 G3 G2 C3 in C major, told by degrees. The octave is not told, so that
// it is not marked either, although the sixth degree is asked below the first and the last fifth
// below the one before; all other faults cost what they cost of any note (worth 1, see above).
static const DegreeCase degree_cases[] = {
  {"degrees without fault", "1 6 2 #4 5 5 5 1", 8.0},
  {"a sharp forgotten", "1 6 2 4 5 5 5 1", 7.5},          // 8 - 1/2
  {"flat five for sharp four", "1 6 2 b5 5 5 5 1", 7.75}, // 8 - 1/4 for the spelling
  {"another degree", "1 6 2 #4 5 5 4 1", 7.0},            // 8 - 1
  {"two missing", "1 6 2 #4 5 5", 6.0},                   // 8 - 2
};

static void
write_degrees(QfAnswer* const answer, const char* text)
{
  for (int i = 0; *text; ++i) {
    const int alter = *text == '#' ? 1 : *text == 'b' ? -1 : 0;
    text += alter != 0;
    assert_int_equal(
      qf_answer_put_degree(answer, 3, qf_time(i, 4), qf_time(1, 4), *text - '0', alter, NULL, NULL),
      QF_OK);
    text += text[1] == ' ' ? 2 : 1;
  }
}

static void
test_a_degree_is_meant_in_the_nearest_octave(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(degree_cases) / sizeof(degree_cases[0]); ++i) {
    QfLesson* const lesson = lesson_of(&passage);
    QfAnswer* const answer = begun_answer(lesson);
    write_degrees(answer, degree_cases[i].degrees);
    QfGrade* const grade  = grade_plain(lesson, answer);
    const double   points = qf_grade_get_layer_points(grade, QF_LAYER_BASS);
    if (fabs(points - degree_cases[i].points) > 1e-9) {
      fail_msg("%s: %g points, not %g", degree_cases[i].label, points, degree_cases[i].points);
    }
    check_reasons(grade, degree_cases[i].label);
    qf_grade_free(grade);
    qf_answer_free(answer);
    qf_lesson_free(lesson);
  }
}

static void
test_differences_are_gone_through_one_by_one(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  QfAnswer* const answer = begun_answer(lesson);
  write_solution(answer, lesson);
  const QfScore* const mine = qf_try_get_score(qf_answer_get_attempt(answer, 0));
  const uint32_t       bass = qf_score_get_note(mine, 3, 1)->id;
  assert_int_equal(qf_answer_set_pitch(answer, bass, pitch_of("G2"), NULL), QF_OK);
  assert_int_equal(qf_answer_set_numeral(answer, qf_time(1, 2), "IV", NULL, NULL), QF_OK);
  assert_int_equal(qf_answer_set_numeral(answer, qf_time(3, 2), "ii", NULL, NULL), QF_OK);
  QfGrade* const grade = grade_plain(lesson, answer);
  // In order of time: the second bass note, the third and the seventh numeral, a beat each.
  static const struct {
    QfLayer layer;
    QfTime  from;
    QfTime  to;
  } expected[] = {
    {QF_LAYER_BASS, {1, 4}, {1, 2}},
    {QF_LAYER_NUMERAL, {1, 2}, {3, 4}},
    {QF_LAYER_NUMERAL, {3, 2}, {7, 4}},
  };
  assert_int_equal(qf_grade_n_differences(grade), 3);
  for (size_t i = 0; i < 3; ++i) {
    const QfDifference* const difference = qf_grade_get_difference(grade, i);
    assert_int_equal(qf_grade_get_verdict(grade, difference->verdict)->layer, expected[i].layer);
    assert_int_equal(qf_time_compare(difference->place, expected[i].from), 0);
    assert_int_equal(qf_time_compare(difference->from, expected[i].from), 0);
    assert_int_equal(qf_time_compare(difference->to, expected[i].to), 0);
    assert_int_equal(qf_time_compare(difference->answer_from, expected[i].from), 0);
    assert_int_equal(qf_time_compare(difference->answer_to, expected[i].to), 0);
    assert_true(difference->has_notes);
  }

  // The page is coloured by the same verdicts.
  assert_int_equal(qf_grade_verdict_of_note(grade, bass)->kind, QF_VERDICT_WRONG);
  assert_int_equal(qf_grade_verdict_of_note(grade, bass + 1U)->kind, QF_VERDICT_RIGHT);
  assert_null(qf_grade_verdict_of_note(grade, QF_NO_NOTE));
  qf_grade_free(grade);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

typedef struct {
  const char* symbol;
  const char* pitches; ///< From the bass up
} CloseCase;

// Spelled by hand.
static const CloseCase close_cases[] = {
  {"C", "C3 E3 G3"},          {"C/E", "E3 G3 C4"},   {"A7/C#", "C#3 E3 G3 A3"},
  {"F#m7b5", "F#3 A3 C4 E4"}, {"Bb/F", "F3 Bb3 D4"},
};

static void
test_chords_are_heard_in_close_position(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(close_cases) / sizeof(close_cases[0]); ++i) {
    QfChord chord = {0};
    QfPitch pitches[QF_CHORD_MAX_NOTES];
    char    text[64] = "";
    assert_int_equal(qf_chord_parse_symbol(close_cases[i].symbol, &chord, NULL), QF_OK);
    const size_t n_pitches = qf_chord_close_position(chord, pitches);
    for (size_t p = 0; p < n_pitches; ++p) {
      char name[16];
      qf_pitch_write(pitches[p], name, sizeof(name));
      strcat(strcat(text, p ? " " : ""), name);
    }
    assert_string_equal(text, close_cases[i].pitches);
  }
}

static void
test_what_was_written_can_be_heard(void** state)
{
  (void)state;
  QfLesson* const   lesson = lesson_of(&passage);
  QfAnswer* const   answer = begun_answer(lesson);
  const QfChordKind minor  = QF_CHORD_MINOR;
  write_solution(answer, lesson);
  assert_int_equal(qf_answer_set_numeral(answer, qf_time(1, 2), "IV6", NULL, NULL), QF_OK);
  assert_int_equal(qf_answer_set_quality(answer, qf_time(1, 1), &minor, NULL), QF_OK);
  QfGrade* const         grade = grade_plain(lesson, answer);
  const QfVerdict* const numeral =
    qf_grade_verdict_of_chord(grade, QF_LAYER_NUMERAL, qf_time(1, 2));
  const QfVerdict* const quality =
    qf_grade_verdict_of_chord(grade, QF_LAYER_QUALITY, qf_time(1, 1));
  assert_true(numeral->has_chord && quality->has_chord);
  char symbol[32];
  qf_chord_write_symbol(numeral->chord, false, symbol, sizeof(symbol));
  assert_string_equal(symbol, "F/A");
  qf_chord_write_symbol(quality->chord, false, symbol, sizeof(symbol));
  assert_string_equal(symbol, "Gm");
  qf_grade_free(grade);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

static void
test_given_notes_and_layers_not_asked_are_not_graded(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  QfStudy         study  = qf_study_default();
  study.layers           = 1U << QF_LAYER_BASS;
  assert_int_equal(qf_lesson_set_study(lesson, study, NULL), QF_OK);
  const uint32_t first = qf_score_get_note(qf_lesson_get_score(lesson), 3, 0)->id;
  assert_int_equal(qf_lesson_set_given(lesson, first, true, NULL), QF_OK);
  QfAnswer* const answer = begun_answer(lesson);
  QfGrade* const  grade  = grade_plain(lesson, answer);
  assert_true(qf_grade_get_possible(grade) == 7.0);
  assert_false(qf_grade_has_layer(grade, QF_LAYER_SOPRANO));
  qf_grade_free(grade);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

static void
test_any_attempt_can_be_graded(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  QfAnswer* const answer = begun_answer(lesson);
  write_layer(answer, lesson, QF_LAYER_BASS);
  assert_int_equal(qf_answer_begin_attempt(answer, NOON, false, NULL), QF_OK);
  QfGrade* grade = NULL;
  for (size_t i = 0; i < 2; ++i) {
    assert_int_equal(
      qf_grade_new(lesson, answer, (QfGradeOptions){NULL, i, QF_NAMING_GERMAN}, &grade, NULL),
      QF_OK);
    assert_true(qf_grade_get_layer_points(grade, QF_LAYER_BASS) == (i ? 0.0 : 8.0));
    qf_grade_free(grade);
  }
  QfError error = {0};
  assert_int_equal(
    qf_grade_new(lesson, answer, (QfGradeOptions){NULL, 2, QF_NAMING_ENGLISH}, &grade, &error),
    QF_ERR_RANGE);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

// ---- bad input

static bool
has_remark(const QfGrade* const grade, const char* const words)
{
  for (size_t i = 0; i < qf_grade_n_remarks(grade); ++i) {
    if (strstr(qf_grade_get_remark(grade, i), words)) {
      return true;
    }
  }
  return false;
}

static void
test_strange_answers_are_graded_with_a_remark(void** state)
{
  (void)state;
  static const Passage waltz = {
    "C major", "3/4", {"E4/2. G4/2.", "C4/2. C4/2.", "G3/2. G3/2.", "C3/2. C3/2."}, ""};
  QfLesson* const lesson = lesson_of(&passage);

  // A task nobody began, an attempt with nothing in it
  QfAnswer* task = NULL;
  assert_int_equal(qf_answer_new(lesson, &task, NULL), QF_OK);
  QfGrade* grade = grade_plain(lesson, task);
  assert_true(has_remark(grade, "No attempt"));
  assert_true(qf_grade_get_points(grade) == 0.0);
  assert_string_equal(qf_grade_get_text(grade), "to be practised");
  qf_grade_free(grade);
  assert_int_equal(qf_answer_begin_attempt(task, NOON, false, NULL), QF_OK);
  grade = grade_plain(lesson, task);
  assert_true(has_remark(grade, "Nothing is written"));
  qf_grade_free(grade);

  // An older version of the lesson: what is still right counts
  write_layer(task, lesson, QF_LAYER_BASS);
  const uint32_t last = qf_score_get_note(qf_lesson_get_score(lesson), 3, 7)->id;
  assert_int_equal(qf_lesson_set_pitch(lesson, last, pitch_of("C2"), NULL), QF_OK);
  grade = grade_plain(lesson, task);
  assert_int_equal(qf_grade_get_match(grade), QF_MATCH_VERSION);
  assert_true(has_remark(grade, "another version"));
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_BASS) == 7.75);
  qf_grade_free(grade);
  qf_answer_free(task);

  // Another lesson in another metre
  QfLesson* const other = lesson_of(&waltz);
  assert_int_equal(qf_lesson_set_title(other, "Waltz", NULL), QF_OK);
  QfAnswer* const foreign = begun_answer(other);
  write_solution(foreign, other);
  grade = grade_plain(lesson, foreign);
  assert_int_equal(qf_grade_get_match(grade), QF_MATCH_OTHER);
  assert_true(has_remark(grade, "another lesson, \"Waltz\""));
  assert_true(has_remark(grade, "written in 3/4, the lesson in 4/4"));
  assert_true(qf_grade_get_percent(grade) < 30.0);
  check_reasons(grade, "another lesson");
  qf_grade_free(grade);
  qf_answer_free(foreign);
  qf_lesson_free(other);
  qf_lesson_free(lesson);
}

static void
test_other_voices_are_graded_as_far_as_they_go(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  QfScore* const  duet   = qf_score_new();
  QfMetre         metre  = {0};
  assert_int_equal(qf_metre(4, 4, &metre), QF_OK);
  assert_int_equal(qf_score_add_staff(duet, "", QF_CLEF_TREBLE), QF_OK);
  assert_int_equal(qf_score_add_voice(duet, "High", 0), QF_OK);
  assert_int_equal(qf_score_add_voice(duet, "Low", 0), QF_OK);
  for (int i = 1; i <= 2; ++i) {
    assert_int_equal(
      qf_score_append_bar(duet,
                          (QfBar){.metre = metre, .length = {1, 1}, .offset = {0, 1}, .number = i}),
      QF_OK);
  }
  QfLesson* const two    = qf_lesson_new_from_score(duet);
  QfAnswer* const answer = begun_answer(two);
  write_voice(answer, 1, "0", "C3/4 A2/4 D3/4 F#3/4 G3/4 G3/4 G2/4 C3/4");
  QfGrade* const grade = grade_plain(lesson, answer);
  assert_true(has_remark(grade, "2 voices, the lesson has 4"));
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_BASS) == 8.0);
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_INNER) == 0.0);
  qf_grade_free(grade);
  qf_answer_free(answer);
  qf_lesson_free(two);
  qf_lesson_free(lesson);
}

static void
test_a_hundred_extra_notes_cost_their_layer_only(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  QfAnswer* const answer = begun_answer(lesson);
  write_layer(answer, lesson, QF_LAYER_BASS);
  for (int i = 0; i < 128; ++i) {
    assert_int_equal(qf_answer_put_note(answer, 0, qf_time(i, 64), qf_time(1, 64),
                                        pitch_of(i % 2 ? "B5" : "F5"), NULL, NULL),
                     QF_OK);
  }
  QfGrade* const grade = grade_plain(lesson, answer);
  assert_true(has_remark(grade, "120 notes and chords are written that were not asked for"));
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_SOPRANO) == 0.0);
  assert_true(qf_grade_get_layer_points(grade, QF_LAYER_BASS) == 8.0);
  check_reasons(grade, "extras");
  qf_grade_free(grade);
  qf_answer_free(answer);
  qf_lesson_free(lesson);
}

/// Leaving out any one chord loses that chord, wherever it is
static void
test_any_one_chord_left_out_loses_that_chord(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  const QfScore*  score  = qf_lesson_get_score(lesson);
  for (size_t gone = 0; gone < 8; ++gone) {
    QfAnswer* const answer = begun_answer(lesson);
    write_solution(answer, lesson);
    const QfTime start = qf_score_get_note(score, 0, gone)->start;
    for (size_t v = 0; v < 4; ++v) {
      const QfScore* const mine = qf_try_get_score(qf_answer_get_attempt(answer, 0));
      assert_int_equal(qf_answer_delete_note(answer, qf_score_note_at(mine, v, start)->id, NULL),
                       QF_OK);
    }
    assert_int_equal(qf_answer_set_numeral(answer, start, "", NULL, NULL), QF_OK);
    assert_int_equal(qf_answer_set_quality(answer, start, NULL, NULL), QF_OK);
    QfGrade* const grade = grade_plain(lesson, answer);
    // Four notes, a quality, a numeral: 4 + 1 + 2
    const double lost = qf_grade_get_possible(grade) - qf_grade_get_points(grade);
    if (fabs(lost - 7.0) > 1e-9) {
      print_reasons(grade);
      fail_msg("chord %zu: %g points lost", gone, lost);
    }
    qf_grade_free(grade);
    qf_answer_free(answer);
  }
  qf_lesson_free(lesson);
}

static uint32_t
draw(uint32_t* const seed)
{
  *seed = *seed * UINT32_C(1664525) + UINT32_C(1013904223);
  return *seed >> 8U;
}

/// Change one thing of an answer at random; gives the most points it may cost
static double
spoil(QfAnswer* const answer, uint32_t* const seed)
{
  static const char* const numerals[] = {"I", "V7/IV", "bVI", "viio7/V", "?", ""};

  const QfScore* const mine  = qf_try_get_score(qf_answer_get_attempt(answer, 0));
  const size_t         voice = draw(seed) % 4U;
  const size_t         n     = qf_score_n_notes(mine, voice);
  const QfNote         note  = *qf_score_get_note(mine, voice, draw(seed) % n);
  const QfTime         start = qf_time(draw(seed) % 8U, 4);
  switch (draw(seed) % 5U) {
    case 0: // One note
      assert_int_equal(qf_answer_set_pitch(answer, note.id,
                                           qf_pitch_from_step(20 + (int)(draw(seed) % 20U),
                                                              (int)(draw(seed) % 3U) - 1),
                                           NULL),
                       QF_OK);
      return 1.0;
    case 1:
      assert_int_equal(qf_answer_delete_note(answer, note.id, NULL), QF_OK);
      return 1.0;
    case 2: // Cut short, and a note too many put behind it
      assert_int_equal(
        qf_answer_put_note(answer, voice,
                           qf_time_add(note.start, qf_time_div(note.duration, qf_time(2, 1))),
                           qf_time_div(note.duration, qf_time(2, 1)), pitch_of("B3"), NULL, NULL),
        QF_OK);
      return 1.5;
    case 3:
      assert_int_equal(qf_answer_set_numeral(answer, start, numerals[draw(seed) % 6U], NULL, NULL),
                       QF_OK);
      return 2.0;
    default: {
      const QfChordKind kind = (QfChordKind)(draw(seed) % QF_CHORD_N_KINDS);
      assert_int_equal(qf_answer_set_quality(answer, start, &kind, NULL), QF_OK);
      return 1.0;
    }
  }
}

/// So many spoiled things never cost more than they are worth, and nothing leaves its bounds
static void
test_errors_cost_no_more_than_they_are(void** state)
{
  (void)state;
  QfLesson* const lesson = lesson_of(&passage);
  const QfRubric  rubric = rubric_of(PLAIN);
  uint32_t        seed   = 7;
  for (int round = 0; round < 300; ++round) {
    QfAnswer* const answer = begun_answer(lesson);
    write_solution(answer, lesson);
    double most = 0.0;
    for (uint32_t n = draw(&seed) % 5U; n; --n) {
      most += spoil(answer, &seed);
    }
    QfGrade* const grade = grade_with(lesson, answer, &rubric);
    const double   lost  = qf_grade_get_possible(grade) - qf_grade_get_points(grade);
    if (lost > most + 1e-9 || (most == 0.0 && lost > 0.0)) {
      print_reasons(grade);
      fail_msg("round %d: %g points lost by errors worth %g", round, lost, most);
    }
    double asked = 0.0;
    for (int l = 0; l < QF_LAYER_N_KINDS; ++l) {
      const double points = qf_grade_get_layer_points(grade, (QfLayer)l);
      assert_true(points >= 0.0 && points <= qf_grade_get_layer_possible(grade, (QfLayer)l));
      asked += qf_grade_get_layer_possible(grade, (QfLayer)l);
    }
    assert_true(asked == 8.0 + 8.0 + 8.0 + 16.0 + 16.0);
    check_reasons(grade, "spoiled");
    qf_grade_free(grade);
    qf_answer_free(answer);
  }
  qf_lesson_free(lesson);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_the_solution_gets_full_marks),
    cmocka_unit_test(test_the_solutions_of_the_demo_get_full_marks),
    cmocka_unit_test(test_the_published_rubric_scores_as_published),
    cmocka_unit_test(test_the_published_rules_hold_one_by_one),
    cmocka_unit_test(test_an_inversion_follows_the_bass_that_was_heard),
    cmocka_unit_test(test_a_numeral_follows_the_quality_that_was_heard),
    cmocka_unit_test(test_a_forgotten_accidental_is_charged_once_a_bar),
    cmocka_unit_test(test_functions_count_in_any_key_if_the_rubric_says_so),
    cmocka_unit_test(test_a_modulation_may_be_told_in_either_key),
    cmocka_unit_test(test_concepts_are_tallied),
    cmocka_unit_test(test_a_degree_is_meant_in_the_nearest_octave),
    cmocka_unit_test(test_differences_are_gone_through_one_by_one),
    cmocka_unit_test(test_chords_are_heard_in_close_position),
    cmocka_unit_test(test_what_was_written_can_be_heard),
    cmocka_unit_test(test_given_notes_and_layers_not_asked_are_not_graded),
    cmocka_unit_test(test_any_attempt_can_be_graded),
    cmocka_unit_test(test_strange_answers_are_graded_with_a_remark),
    cmocka_unit_test(test_other_voices_are_graded_as_far_as_they_go),
    cmocka_unit_test(test_a_hundred_extra_notes_cost_their_layer_only),
    cmocka_unit_test(test_any_one_chord_left_out_loses_that_chord),
    cmocka_unit_test(test_errors_cost_no_more_than_they_are),
    cmocka_unit_test(test_answers_get_the_points_of_the_hand),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
