// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_GRADE_H
#define QUINTFALL_GRADE_H

#include "quintfall/answer.h"
#include "quintfall/practice.h"

#include <stdint.h>

#define QF_LAST_ATTEMPT SIZE_MAX

typedef enum {
  QF_VERDICT_RIGHT,
  QF_VERDICT_PARTLY,  ///< Some of its points were lost
  QF_VERDICT_WRONG,   ///< All of them
  QF_VERDICT_MISSING, ///< In the solution only
  QF_VERDICT_EXTRA,   ///< In the answer only
} QfVerdictKind;

/// A note or chord of the solution beside the one of the answer that was meant for it
typedef struct {
  QfLayer       layer;
  QfVerdictKind kind;
  uint8_t       voice;       ///< Of notes
  uint32_t      note;        ///< Of the solution, or #QF_NO_NOTE
  uint32_t      answer_note; ///< Of the attempt, or #QF_NO_NOTE
  size_t        link;        ///< Of the labels, for qualities and numerals, or SIZE_MAX
  QfTime        start;       ///< In the solution; in the answer if it is extra
  QfTime        end;
  QfTime        answer_start; ///< In the answer; in the solution if it is missing
  QfTime        answer_end;
  unsigned      faults;      ///< Bits `1U << aspect` that cost points
  unsigned      following;   ///< Bits of faults that follow from an error charged before
  unsigned      equal;       ///< Bits of differences that the rubric takes for equal
  bool          has_chord;   ///< The answer's numeral or quality can be heard as `chord`
  QfChord       chord;       ///< A quality stands on the root that was asked
  bool          is_doubtful; ///< Marked so by the student
  double        points;
  double        possible; ///< 0 if extra; `points` may then be negative
  const char*   reason;   ///< Why points were lost, with place, or empty; never NULL, the grade's
} QfVerdict;

/// What is right and asked of one concept: "layer/bass", "target/ii", "inversion/1",
/// "quality/dom7"; identities as in practice.h
typedef struct {
  char concept[QF_CONCEPT_SIZE];
  int right;
  int asked;
} QfTally;

/// How well an answer belongs to the lesson it is graded by
typedef enum {
  QF_MATCH_SAME,    ///< Made of this very lesson
  QF_MATCH_VERSION, ///< Made of another state of it
  QF_MATCH_OTHER,   ///< Made of another lesson
} QfMatch;

/// One thing in which the answer differs, and what to hear of it: theirs, then the original
typedef struct {
  size_t verdict;     ///< Its index
  QfTime place;       ///< Where it stands in the solution; between its neighbours if it is extra
  QfTime from;        ///< Of the solution
  QfTime to;          ///< With the neighbours, where something extra or missing moves the rest
  QfTime answer_from; ///< Of the attempt's score
  QfTime answer_to;
  bool   has_notes; ///< The attempt has notes there; otherwise there is nothing of theirs to hear
} QfDifference;

typedef struct {
  const QfRubric* rubric;  ///< NULL for the lesson's own
  size_t          attempt; ///< Index, or #QF_LAST_ATTEMPT
  QfNamingKind    naming;  ///< Of notes in the reasons
} QfGradeOptions;

/// A graded attempt; owns everything it lends
typedef struct QfGradeImpl QfGrade;

/**
   Grade an attempt.

   Anything can be graded: an answer to another lesson, one without attempts, with
   other voices or metre. What had to be said about that is in the remarks.

   @param lesson Not changed, but its labels may be made.
   @param[out] result (transfer full)
   @return #QF_OK, #QF_ERR_NO_MEM, or #QF_ERR_RANGE for an attempt that does not exist.
*/
QfStatus
qf_grade_new(QfLesson*       lesson,
             const QfAnswer* answer,
             QfGradeOptions  options,
             QfGrade**       result,
             QfError*        error);

void
qf_grade_free(QfGrade* grade);

QfMatch
qf_grade_get_match(const QfGrade* grade);

/// Layer by layer, within a layer in order of time
size_t
qf_grade_n_verdicts(const QfGrade* grade);

const QfVerdict*
qf_grade_get_verdict(const QfGrade* grade, size_t index);

/// Verdict of a note of the attempt, for its colour on the page, or NULL
const QfVerdict*
qf_grade_verdict_of_note(const QfGrade* grade, uint32_t answer_note);

/// Verdict of the answer's quality or numeral at a time, or NULL
const QfVerdict*
qf_grade_verdict_of_chord(const QfGrade* grade, QfLayer layer, QfTime answer_start);

/// True if the layer is asked for and worth anything
bool
qf_grade_has_layer(const QfGrade* grade, QfLayer layer);

double
qf_grade_get_layer_points(const QfGrade* grade, QfLayer layer);

double
qf_grade_get_layer_possible(const QfGrade* grade, QfLayer layer);

/// Rounded and scaled as the rubric says
double
qf_grade_get_points(const QfGrade* grade);

double
qf_grade_get_possible(const QfGrade* grade);

/// 0-100
double
qf_grade_get_percent(const QfGrade* grade);

/// The rubric's word for the result, or empty
const char*
qf_grade_get_text(const QfGrade* grade);

bool
qf_grade_has_passed(const QfGrade* grade);

/// Sentences about the answer as a whole
size_t
qf_grade_n_remarks(const QfGrade* grade);

const char*
qf_grade_get_remark(const QfGrade* grade, size_t index);

size_t
qf_grade_n_tallies(const QfGrade* grade);

const QfTally*
qf_grade_get_tally(const QfGrade* grade, size_t index);

/**
   Spell a chord in close position over a bass in octave 3, to be heard beside another.

   @param[out] result Pitches from the bass up.
   @return Their number, 0 for a chord that can't be spelled.
*/
size_t
qf_chord_close_position(QfChord chord, QfPitch result[QF_CHORD_MAX_NOTES]);

/// In order of place, and at a place in order of verdicts
size_t
qf_grade_n_differences(const QfGrade* grade);

const QfDifference*
qf_grade_get_difference(const QfGrade* grade, size_t index);

#endif // QUINTFALL_GRADE_H
