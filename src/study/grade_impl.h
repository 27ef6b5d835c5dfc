// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_STUDY_GRADE_IMPL_H
#define QUINTFALL_STUDY_GRADE_IMPL_H

#include "quintfall/grade.h"

#include "align.h"

enum {
  MAX_REMARKS = 12,
  REMARK_SIZE = 200,
};

#define BIT(value) (1U << (unsigned)(value))

struct QfGradeImpl {
  QfMatch       match;
  QfRubric      rubric;
  unsigned      layers; ///< Graded
  QfVerdict*    verdicts;
  size_t        n_verdicts;
  size_t        capacity;
  char**        reasons; ///< That verdicts point at; owned, each
  size_t        n_reasons;
  double        layer_points[QF_LAYER_N_KINDS];
  double        layer_possible[QF_LAYER_N_KINDS];
  double        points;
  double        possible;
  double        percent;
  char          remarks[MAX_REMARKS][REMARK_SIZE];
  size_t        n_remarks;
  QfTally*      tallies;
  size_t        n_tallies;
  QfDifference* differences;
  size_t        n_differences;
};

/// What marking needs at hand
typedef struct {
  QfGrade*        grade;
  const QfLesson* lesson;
  const QfScore*  score; ///< Of the solution
  const QfLabels* labels;
  QfKey           home;
  const QfTry*    try;   ///< NULL if there is none
  const QfScore*  given; ///< The attempt's score, or NULL
  QfNamingKind    naming;
} Marking;

/// Add a verdict with everything but points and kind, which follow from its faults
QfStatus
add_verdict(QfGrade* grade, QfVerdict verdict);

/// Cost of a missing or extra note or chord in an alignment
#define ALIGN_GAP 0.7

/// More than a missing and an extra one together: what is that far away is never meant
#define ALIGN_NEVER (2.5 * ALIGN_GAP)

/// Cost of taking something for another that begins at another time, in whole notes
double
time_cost(double a, double b);

/// Where displaced notes stand in the answer, as marking goes along
typedef struct {
  QfTime shift;     ///< By which what follows is displaced, forgiven or charged already
  bool   after_gap; ///< Something was missing or extra since the last pair
} Pace;

/**
   Say whether a start costs a fault of rhythm, and go on.

   What is displaced as a whole after something missing or extra is forgiven; so
   is, if the rubric follows errors, what only follows an earlier displacement.
   @param length_error By which the answer's note before was too long.
   @param[out] is_following Set if there is a fault that follows from an earlier one.
*/
bool
pace_is_fault(Pace* pace, QfTime offset, QfTime length_error, bool* is_following);

QfStatus
mark_note_layer(const Marking* marking, QfLayer layer);

QfStatus
mark_quality_layer(const Marking* marking);

QfStatus
mark_numeral_layer(const Marking* marking);

/// What the ear and reason compare of two numerals
typedef struct {
  unsigned faults;    ///< Bits of aspects
  unsigned equal;     ///< Bits of differences the rubric takes for equal
  bool     is_read;   ///< False if the answer's text is no numeral
  bool     has_chord; ///< `chord` is what the answer's numeral stands for
  QfChord  chord;
} NumeralFaults;

/// A numeral as it was typed, read in both modes
typedef struct {
  bool      has_key; ///< The key it stands in was named
  QfKey     key;     ///< Otherwise the home key
  bool      is_read[2];
  QfNumeral numerals[2];
} TypedNumeral;

TypedNumeral
read_typed(const char* text, bool has_key, QfKey key);

/// Compare a typed numeral with a link; `next` is the key of the next link or NULL
NumeralFaults
compare_numeral(const QfRubric*     rubric,
                const QfLabel*      link,
                const QfKey*        next,
                const TypedNumeral* typed);

/// Faults of a chord quality against another
unsigned
compare_kinds(QfChordKind asked, QfChordKind written);

/// True for the same sounding pitch classes over the same bass
bool
chords_sound_alike(QfChord a, QfChord b);

/// Write why points were lost, or not charged; two names such as "F sharp 3", NULL for none
QfStatus
write_reason(const Marking* marking, QfVerdict* verdict, const char* asked, const char* written);

/// Points and kind that follow from a verdict's faults
void
price_verdict(const QfRubric* rubric, QfVerdict* verdict);

QfStatus
make_tallies(const Marking* marking);

QfStatus
make_differences(const Marking* marking);

void
add_remark(QfGrade* grade, const char* format, ...) __attribute__((format(printf, 2, 3)));

/// Index of the voice of a layer; inner voices by `index` from the top. False if there is none
bool
voice_of_layer(const QfScore* score, QfLayer layer, size_t index, size_t* voice);

#endif // QUINTFALL_STUDY_GRADE_IMPL_H
