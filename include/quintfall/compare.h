// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_COMPARE_H
#define QUINTFALL_COMPARE_H

#include "quintfall/grade.h"

/// How something on one page stands to the other page
typedef enum {
  QF_COMPARED_SAME,    ///< Alike on both pages
  QF_COMPARED_EQUAL,   ///< Written otherwise, but the rubric takes it for equal
  QF_COMPARED_DIFFERS, ///< Has its counterpart, which is different
  QF_COMPARED_MISSING, ///< In the passage only
  QF_COMPARED_EXTRA,   ///< In the answer only
  QF_COMPARED_UNASKED  ///< Of a voice or layer that is not graded
} QfComparedKind;

/// A note of either page
typedef struct {
  uint32_t       note;
  uint32_t       other; ///< Its counterpart on the other page, or #QF_NO_NOTE
  QfComparedKind kind;
  bool           is_alike; ///< The counterpart has the same pitch and length
  size_t         verdict;  ///< Of the grade, or SIZE_MAX
  size_t         voice;    ///< Of the passage
} QfComparedNote;

/// A quality or numeral of either page
typedef struct {
  QfLayer        layer;
  QfComparedKind kind;
  bool           is_theirs;
  QfTime         place; ///< On the passage's scale of time
  size_t         verdict;
  char           text[QF_NUMERAL_TEXT_SIZE]; ///< "dom7", "V65/V"; theirs as it was typed
  bool           has_numeral;                ///< Text can be read as `numeral`
  QfNumeral      numeral;
  QfKey          key; ///< That the numeral stands in
} QfComparedChord;

/**
   An answer laid over the passage: what is alike, what differs, and one scale of time.

   Every note and chord of the answer has its place on the passage's scale: what
   was meant for a note of the passage stands where that note does, also behind
   a chord that is missing or too many; what has no counterpart stands between
   its neighbours.
*/
typedef struct QfComparisonImpl QfComparison;

/**
   Compare an attempt with the lesson it was graded by.

   @param lesson Lent, as is `attempt` and `grade`, until the comparison is freed or changed.
   @param attempt The one that was graded, or NULL if there is none.
   @param[out] result (transfer full)
*/
QfStatus
qf_comparison_new(QfLesson*      lesson,
                  const QfTry*   attempt,
                  const QfGrade* grade,
                  QfComparison** result,
                  QfError*       error);

void
qf_comparison_free(QfComparison* comparison);

/// Of the passage
const QfScore*
qf_comparison_get_score(const QfComparison* comparison);

/// Of the attempt, or NULL
const QfScore*
qf_comparison_get_written(const QfComparison* comparison);

const QfGrade*
qf_comparison_get_grade(const QfComparison* comparison);

/// Voice of the passage that a voice of the answer was meant for, or SIZE_MAX
size_t
qf_comparison_voice_of(const QfComparison* comparison, size_t written_voice);

/// A note of the passage, or of the answer; never NULL for one that is there
const QfComparedNote*
qf_comparison_find_note(const QfComparison* comparison, bool is_theirs, uint32_t note);

/// Qualities and numerals of both pages, in order of place
size_t
qf_comparison_n_chords(const QfComparison* comparison);

const QfComparedChord*
qf_comparison_get_chord(const QfComparison* comparison, size_t index);

/// Where a time of the answer stands in the passage, for a voice of the passage
QfTime
qf_comparison_place_of(const QfComparison* comparison, size_t voice, QfTime written);

/// The other way round
QfTime
qf_comparison_written_of(const QfComparison* comparison, size_t voice, QfTime place);

#endif // QUINTFALL_COMPARE_H
