// SPDX-License-Identifier: MIT
// An answer over its passage. What differs, and what stands where, is worked out by hand from the
// notes written below; the comments beside them say how.
#include "study_support.h"

#include "quintfall/overlay.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { SOPRANO, ALTO, TENOR, BASS };

// Eight chords, no two neighbours of a voice alike, so that there is one way to align them.
static const Passage passage = {
  "C major",
  "4/4",
  {"C5/4 D5/4 E5/4 F5/4 G5/4 F5/4 D5/4 C5/4", "E4/4 G4/4 C5/4 A4/4 B4/4 A4/4 F4/4 E4/4",
   "G3/4 B3/4 G3/4 F3/4 D4/4 C4/4 B3/4 G3/4", "C3/4 G2/4 C3/4 D3/4 G3/4 F3/4 G2/4 C3/4"},
  "0 I; 1/4 V; 1/2 I; 3/4 ii; 1 V; 5/4 IV; 3/2 V7; 7/4 I"};

/// A graded answer laid over the passage
typedef struct {
  QfLesson*     lesson;
  QfAnswer*     answer;
  QfGrade*      grade;
  QfComparison* comparison;
} Both;

static Both
begin(void)
{
  Both both   = {.lesson = lesson_of(&passage)};
  both.answer = begun_answer(both.lesson);
  return both;
}

static void
compare(Both* const both)
{
  const QfGradeOptions options = {.attempt = QF_LAST_ATTEMPT};
  assert_int_equal(qf_grade_new(both->lesson, both->answer, options, &both->grade, NULL), QF_OK);
  assert_int_equal(qf_comparison_new(both->lesson, qf_answer_get_attempt(both->answer, 0),
                                     both->grade, &both->comparison, NULL),
                   QF_OK);
}

static void
end(Both* const both)
{
  qf_comparison_free(both->comparison);
  qf_grade_free(both->grade);
  qf_answer_free(both->answer);
  qf_lesson_free(both->lesson);
}

static QfEngraving*
draw(const Both* const both, const QfOverlayOptions options)
{
  QfEngraving* result = NULL;
  QfError      error  = {0};
  if (qf_overlay_new(both->comparison, options, qf_engrave_options_screen(), &result, &error)) {
    fail_msg("%s", error.text);
  }
  return result;
}

static const QfScore*
page_of(const Both* const both, const bool is_theirs)
{
  return is_theirs ? qf_comparison_get_written(both->comparison)
                   : qf_comparison_get_score(both->comparison);
}

static uint32_t
note_of(const Both* const both, const bool is_theirs, const size_t voice, const size_t index)
{
  return qf_score_get_note(page_of(both, is_theirs), voice, index)->id;
}

static const QfComparedNote*
compared(const Both* const both, const bool is_theirs, const size_t voice, const size_t index)
{
  return qf_comparison_find_note(both->comparison, is_theirs,
                                 note_of(both, is_theirs, voice, index));
}

/// Left edge of a head, or NAN if it is not drawn
static double
x_of(const Both* const        both,
     const QfEngraving* const drawing,
     const bool               is_theirs,
     const size_t             voice,
     const size_t             index)
{
  const uint32_t bit = is_theirs ? QF_OVERLAY_THEIRS_BIT : 0U;
  double         box[4];
  return qf_engraving_note_box(drawing, note_of(both, is_theirs, voice, index) | bit, &box[0],
                               &box[1], &box[2], &box[3])
           ? box[0]
           : NAN;
}

static void
check_kinds(const Both* const           both,
            const bool                  is_theirs,
            const size_t                voice,
            const QfComparedKind* const kinds,
            const size_t                n)
{
  assert_int_equal(qf_score_n_notes(page_of(both, is_theirs), voice), n);
  for (size_t i = 0; i < n; ++i) {
    const QfComparedKind kind = compared(both, is_theirs, voice, i)->kind;
    if (kind != kinds[i]) {
      fail_msg("note %zu of voice %zu of page %d is of kind %d", i, voice, is_theirs, (int)kind);
    }
  }
}

#define SAME QF_COMPARED_SAME
#define DIFF QF_COMPARED_DIFFERS
#define MISS QF_COMPARED_MISSING
#define EXTRA QF_COMPARED_EXTRA

static void
test_equal_notes_stand_once(void** state)
{
  (void)state;
  Both both = begin();
  write_solution(both.answer, both.lesson);
  compare(&both);
  QfEngraving* const drawing = draw(&both, (QfOverlayOptions){.pages = QF_OVERLAY_BOTH});
  for (size_t v = 0; v < 4; ++v) {
    for (size_t i = 0; i < 8; ++i) {
      assert_int_equal(compared(&both, false, v, i)->kind, QF_COMPARED_SAME);
      assert_int_equal(compared(&both, true, v, i)->kind, QF_COMPARED_SAME);
      assert_false(isnan(x_of(&both, drawing, false, v, i)));
      assert_true(isnan(x_of(&both, drawing, true, v, i)));
    }
  }
  qf_engraving_free(drawing);
  end(&both);
}

static void
test_what_differs_stands_beside(void** state)
{
  (void)state;
  Both both = begin();
  write_solution(both.answer, both.lesson);
  // The third note of the bass a third too high, and F sharp for F in the soprano.
  const uint32_t bass =
    qf_score_get_note(qf_try_get_score(qf_answer_get_attempt(both.answer, 0)), BASS, 2)->id;
  const uint32_t soprano =
    qf_score_get_note(qf_try_get_score(qf_answer_get_attempt(both.answer, 0)), SOPRANO, 3)->id;
  assert_int_equal(qf_answer_set_pitch(both.answer, bass, pitch_of("E3"), NULL), QF_OK);
  assert_int_equal(qf_answer_set_pitch(both.answer, soprano, pitch_of("F#5"), NULL), QF_OK);
  compare(&both);
  const QfComparedKind bass_kinds[]    = {SAME, SAME, DIFF, SAME, SAME, SAME, SAME, SAME};
  const QfComparedKind soprano_kinds[] = {SAME, SAME, SAME, DIFF, SAME, SAME, SAME, SAME};
  for (int side = 0; side < 2; ++side) {
    check_kinds(&both, side, BASS, bass_kinds, 8);
    check_kinds(&both, side, SOPRANO, soprano_kinds, 8);
  }

  QfEngraving* const drawing = draw(&both, (QfOverlayOptions){.pages = QF_OVERLAY_BOTH});
  const double       column  = x_of(&both, drawing, false, ALTO, 2);
  // Theirs stands in its column, the passage's to the right of it, before the next one.
  assert_float_equal(x_of(&both, drawing, true, BASS, 2), column, 1e-6);
  assert_true(x_of(&both, drawing, false, BASS, 2) > column + 8.0);
  assert_true(x_of(&both, drawing, false, BASS, 2) < x_of(&both, drawing, false, BASS, 3) - 8.0);
  assert_true(x_of(&both, drawing, false, SOPRANO, 3) > x_of(&both, drawing, true, SOPRANO, 3));
  qf_engraving_free(drawing);
  end(&both);
}

static void
test_a_missing_chord_moves_nothing(void** state)
{
  (void)state;
  Both both = begin();
  // The fourth chord is left out, and what follows is written a beat early.
  write_voice(both.answer, SOPRANO, "0", "C5/4 D5/4 E5/4 G5/4 F5/4 D5/4 C5/4");
  write_voice(both.answer, ALTO, "0", "E4/4 G4/4 C5/4 B4/4 A4/4 F4/4 E4/4");
  write_voice(both.answer, TENOR, "0", "G3/4 B3/4 G3/4 D4/4 C4/4 B3/4 G3/4");
  write_voice(both.answer, BASS, "0", "C3/4 G2/4 C3/4 G3/4 F3/4 G2/4 C3/4");
  compare(&both);
  const QfComparedKind asked[]   = {SAME, SAME, SAME, MISS, SAME, SAME, SAME, SAME};
  const QfComparedKind written[] = {SAME, SAME, SAME, SAME, SAME, SAME, SAME};
  QfEngraving* const   drawing   = draw(&both, (QfOverlayOptions){.pages = QF_OVERLAY_BOTH});
  for (size_t v = 0; v < 4; ++v) {
    check_kinds(&both, false, v, asked, 8);
    check_kinds(&both, true, v, written, 7);
    // Their fourth chord, on beat 4, was meant for the fifth, on the next downbeat.
    assert_int_equal(
      qf_time_compare(qf_comparison_place_of(both.comparison, v, time_of("3/4")), time_of("1")), 0);
  }
  // Four notes are missing, and each is heard with its neighbours: theirs go from the third chord
  // to the end of it, the passage's from the third to the fifth.
  size_t n = 0;
  for (size_t i = 0; i < qf_grade_n_differences(both.grade); ++i) {
    const QfDifference* const difference = qf_grade_get_difference(both.grade, i);
    const QfVerdict* const    verdict    = qf_grade_get_verdict(both.grade, difference->verdict);
    if (verdict->layer != QF_LAYER_QUALITY && verdict->layer != QF_LAYER_NUMERAL) {
      ++n;
      assert_int_equal(verdict->kind, QF_VERDICT_MISSING);
      assert_int_equal(qf_time_compare(difference->place, time_of("3/4")), 0);
      assert_int_equal(qf_time_compare(difference->from, time_of("1/2")), 0);
      assert_int_equal(qf_time_compare(difference->to, time_of("1")), 0);
      assert_int_equal(qf_time_compare(difference->answer_from, time_of("1/2")), 0);
      assert_int_equal(qf_time_compare(difference->answer_to, time_of("3/4")), 0);
    }
  }
  assert_int_equal(n, 4);
  qf_engraving_free(drawing);
  end(&both);
}

static void
test_an_extra_chord_stands_between(void** state)
{
  (void)state;
  Both both = begin();
  // A chord too many after the second; what follows is written a beat late, and the last does not
  // fit into the bars. It is far from its neighbours in every voice, so that nothing else is meant.
  write_voice(both.answer, SOPRANO, "0", "C5/4 D5/4 A5/4 E5/4 F5/4 G5/4 F5/4 D5/4");
  write_voice(both.answer, ALTO, "0", "E4/4 G4/4 D4/4 C5/4 A4/4 B4/4 A4/4 F4/4");
  write_voice(both.answer, TENOR, "0", "G3/4 B3/4 E4/4 G3/4 F3/4 D4/4 C4/4 B3/4");
  write_voice(both.answer, BASS, "0", "C3/4 G2/4 A3/4 C3/4 D3/4 G3/4 F3/4 G2/4");
  compare(&both);
  const QfComparedKind asked[]   = {SAME, SAME, SAME, SAME, SAME, SAME, SAME, MISS};
  const QfComparedKind written[] = {SAME, SAME, EXTRA, SAME, SAME, SAME, SAME, SAME};
  QfEngraving* const   drawing   = draw(&both, (QfOverlayOptions){.pages = QF_OVERLAY_BOTH});
  const double         x         = x_of(&both, drawing, true, SOPRANO, 2);
  for (size_t v = 0; v < 4; ++v) {
    check_kinds(&both, false, v, asked, 8);
    check_kinds(&both, true, v, written, 8);
    // Half way between the second chord and the third, the same in all voices.
    assert_int_equal(
      qf_time_compare(qf_comparison_place_of(both.comparison, v, time_of("1/2")), time_of("3/8")),
      0);
    assert_float_equal(x_of(&both, drawing, true, v, 2), x, 1e-6);
    assert_true(x > x_of(&both, drawing, false, v, 1) + 8.0);
    assert_true(x < x_of(&both, drawing, false, v, 2) - 8.0);
  }
  qf_engraving_free(drawing);
  end(&both);
}

static void
test_layers_and_pages_can_be_hidden(void** state)
{
  (void)state;
  Both both = begin();
  write_voice(both.answer, BASS, "0", "C3/4 A2/4");
  compare(&both);
  // The second bass note differs, the third is missing; the soprano is empty.
  QfEngraving* drawing = draw(&both, (QfOverlayOptions){.pages = QF_OVERLAY_THEIRS});
  assert_false(isnan(x_of(&both, drawing, false, BASS, 0)));
  assert_false(isnan(x_of(&both, drawing, true, BASS, 1)));
  assert_true(isnan(x_of(&both, drawing, false, BASS, 1)));
  assert_true(isnan(x_of(&both, drawing, false, BASS, 2)));
  assert_true(isnan(x_of(&both, drawing, false, SOPRANO, 0)));
  qf_engraving_free(drawing);

  drawing = draw(&both, (QfOverlayOptions){.pages = QF_OVERLAY_PASSAGE});
  assert_true(isnan(x_of(&both, drawing, true, BASS, 1)));
  assert_false(isnan(x_of(&both, drawing, false, BASS, 1)));
  assert_false(isnan(x_of(&both, drawing, false, SOPRANO, 0)));
  // Nothing stands beside the other heads then.
  assert_float_equal(x_of(&both, drawing, false, BASS, 1), x_of(&both, drawing, false, ALTO, 1),
                     1e-6);
  qf_engraving_free(drawing);

  drawing = draw(&both, (QfOverlayOptions){.hidden_voices = 1U << BASS});
  assert_true(isnan(x_of(&both, drawing, true, BASS, 1)));
  assert_true(isnan(x_of(&both, drawing, false, BASS, 1)));
  assert_false(isnan(x_of(&both, drawing, false, SOPRANO, 0)));
  qf_engraving_free(drawing);
  end(&both);
}

static double
height_of(const Both* const both, const unsigned hidden_rows)
{
  QfEngraving* const drawing = draw(both, (QfOverlayOptions){.hidden_rows = hidden_rows});
  double             width   = 0.0;
  double             height  = 0.0;
  qf_engraving_get_size(drawing, &width, &height);
  qf_engraving_free(drawing);
  return height;
}

static void
test_rows_tell_what_differs(void** state)
{
  (void)state;
  Both both = begin();
  write_qualities(both.answer, "0 major; 1/4 minor; 1/2 major");
  write_numerals(both.answer, "0 I; 1/4 V; 1/2 I6");
  compare(&both);
  size_t n_alike   = 0;
  size_t n_differ  = 0;
  size_t n_missing = 0;
  for (size_t i = 0; i < qf_comparison_n_chords(both.comparison); ++i) {
    const QfComparedChord* const chord = qf_comparison_get_chord(both.comparison, i);
    n_alike += chord->kind == QF_COMPARED_SAME;
    n_missing += chord->kind == QF_COMPARED_MISSING;
    n_differ += chord->kind == QF_COMPARED_DIFFERS;
    if (chord->kind == QF_COMPARED_DIFFERS && chord->layer == QF_LAYER_QUALITY) {
      // "minor" was written for the major chord on beat 2.
      assert_string_equal(chord->text, chord->is_theirs ? "minor" : "major");
      assert_int_equal(qf_time_compare(chord->place, time_of("1/4")), 0);
    }
    if (chord->kind == QF_COMPARED_DIFFERS && chord->layer == QF_LAYER_NUMERAL) {
      assert_string_equal(chord->text, chord->is_theirs ? "I6" : "I");
      assert_int_equal(qf_time_compare(chord->place, time_of("1/2")), 0);
    }
  }
  // On both pages: two qualities and two numerals alike, one of each different; five of each
  // were not written.
  assert_int_equal(n_alike, 8);
  assert_int_equal(n_differ, 4);
  assert_int_equal(n_missing, 10);

  const unsigned both_rows = 1U << QF_LAYER_QUALITY | 1U << QF_LAYER_NUMERAL;
  assert_true(height_of(&both, 0) > height_of(&both, 1U << QF_LAYER_QUALITY));
  assert_true(height_of(&both, 1U << QF_LAYER_QUALITY) > height_of(&both, both_rows));
  end(&both);
}

static void
test_anything_can_be_drawn(void** state)
{
  (void)state;
  static const Passage other = {
    "A minor", "3/4", {"E5/4 D5/8 C5/8 B4/4 A4/2.", "", "", "A2/2. E3/4 E2/4 A2/4"}, "0 i"};
  Both            both    = begin();
  QfLesson* const strange = lesson_of(&other);
  qf_answer_free(both.answer);
  both.answer = begun_answer(strange);
  write_solution(both.answer, strange);
  compare(&both); // An answer in other metre and key, to another lesson
  for (int pages = QF_OVERLAY_BOTH; pages <= QF_OVERLAY_PASSAGE; ++pages) {
    QfEngraving* const drawing = draw(&both, (QfOverlayOptions){.pages = (QfOverlayPages)pages});
    assert_int_equal(qf_engraving_n_pages(drawing), 1);
    qf_engraving_free(drawing);
  }
  end(&both);
  qf_lesson_free(strange);

  both = begin(); // Nothing is written, and no attempt was begun
  compare(&both);
  qf_engraving_free(draw(&both, (QfOverlayOptions){0}));
  qf_comparison_free(both.comparison);
  assert_int_equal(qf_comparison_new(both.lesson, NULL, both.grade, &both.comparison, NULL), QF_OK);
  qf_engraving_free(draw(&both, (QfOverlayOptions){0}));
  assert_null(qf_comparison_get_written(both.comparison));
  end(&both);
}

static void
test_notes_beyond_the_passage_are_drawn(void** state)
{
  (void)state;
  // The answer's lesson has a bar more than the one it is graded by.
  static const Passage longer = {"C major",
                                 "4/4",
                                 {"C5/1 C5/1 C5/1", "E4/1 E4/1 E4/1", "G3/1 G3/1 G3/1",
                                  "C3/4 G2/4 C3/4 D3/4 G3/4 F3/4 G2/4 C3/4 A2/4 B2/4 C3/2"},
                                 "0 I"};
  Both                 both   = begin();
  QfLesson* const      more   = lesson_of(&longer);
  qf_answer_free(both.answer);
  both.answer = begun_answer(more);
  write_solution(both.answer, more);
  compare(&both);
  QfEngraving* const drawing = draw(&both, (QfOverlayOptions){.pages = QF_OVERLAY_BOTH});
  double             before  = x_of(&both, drawing, false, BASS, 7);
  for (size_t i = 8; i < 11; ++i) {
    const double x = x_of(&both, drawing, true, BASS, i);
    assert_int_equal(compared(&both, true, BASS, i)->kind, QF_COMPARED_EXTRA);
    assert_true(x > before + 8.0);
    before = x;
  }
  qf_engraving_free(drawing);
  end(&both);
  qf_lesson_free(more);
}

static void
test_the_key_is_as_wide_as_asked(void** state)
{
  (void)state;
  QfEngraveOptions options = qf_engrave_options_screen();
  QfEngraving*     line    = NULL;
  QfEngraving*     block   = NULL;
  double           width   = 0.0;
  double           height  = 0.0;
  double           higher  = 0.0;
  assert_int_equal(qf_overlay_key_new(options, &line, NULL), QF_OK);
  qf_engraving_get_size(line, &width, &height);
  options.width = width / 2.0;
  assert_int_equal(qf_overlay_key_new(options, &block, NULL), QF_OK);
  qf_engraving_get_size(block, &width, &higher);
  assert_true(higher > height);
  assert_float_equal(width, options.width + 2.0 * options.margin, 1e-6);
  qf_engraving_free(line);
  qf_engraving_free(block);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_equal_notes_stand_once),
    cmocka_unit_test(test_what_differs_stands_beside),
    cmocka_unit_test(test_a_missing_chord_moves_nothing),
    cmocka_unit_test(test_an_extra_chord_stands_between),
    cmocka_unit_test(test_layers_and_pages_can_be_hidden),
    cmocka_unit_test(test_rows_tell_what_differs),
    cmocka_unit_test(test_anything_can_be_drawn),
    cmocka_unit_test(test_notes_beyond_the_passage_are_drawn),
    cmocka_unit_test(test_the_key_is_as_wide_as_asked),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
