// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_RUBRIC_H
#define QUINTFALL_RUBRIC_H

#include "quintfall/study.h"

#include <stddef.h>

/// What can be wrong with a note or a chord that was found
typedef enum {
  QF_ASPECT_PITCH,      ///< Another note
  QF_ASPECT_OCTAVE,     ///< The right note in another octave; never of one told by its degree only
  QF_ASPECT_SPELLING,   ///< The right sound under another name
  QF_ASPECT_ACCIDENTAL, ///< The right letter with another accidental, a numeral with one too many
  QF_ASPECT_RHYTHM,     ///< At another time, or of another length
  QF_ASPECT_QUALITY,    ///< Another chord quality
  QF_ASPECT_SEVENTH,    ///< The right triad with a seventh too many or forgotten
  QF_ASPECT_FUNCTION,   ///< Another degree
  QF_ASPECT_INVERSION,  ///< Another note in the bass of the chord
  QF_ASPECT_TARGET,     ///< Applied to another degree, or to none
  QF_ASPECT_N_KINDS
} QfAspect;

/// English name, "accidental"
const char*
qf_aspect_name(QfAspect aspect);

/// Short identity for files, "accidental"
const char*
qf_aspect_id(QfAspect aspect);

/// What an answer of one layer is worth
typedef struct {
  double worth;                     ///< Points of each note or chord, 0-100; 0: not graded
  double losses[QF_ASPECT_N_KINDS]; ///< Share of the worth each fault costs, 0-1
  double extra;                     ///< Share of the worth that a note or chord too many costs, 0-1
} QfLayerRubric;

/// How a total becomes a mark
typedef enum {
  QF_ROUNDING_NONE,
  QF_ROUNDING_HALF_UP,    ///< To whole points, halves upwards
  QF_ROUNDING_SHORT_FULL, ///< The same, but what falls short of full marks never becomes full
  QF_ROUNDING_N_KINDS
} QfRounding;

enum {
  QF_RUBRIC_NAME_SIZE  = 64,
  QF_RUBRIC_MAX_GRADES = 12,
  QF_GRADE_TEXT_SIZE   = 32,
};

/// A word for a result
typedef struct {
  double least; ///< From this percentage on
  char   text[QF_GRADE_TEXT_SIZE];
} QfGradeWord;

/**
   How answers are marked; kept in a lesson.

   A note or chord starts with the worth of its layer and loses the shares of its
   faults, never more than its worth. One that is missing loses all of it.
*/
typedef struct {
  char          name[QF_RUBRIC_NAME_SIZE];
  QfLayerRubric layers[QF_LAYER_N_KINDS];
  QfRounding    rounding;
  double        out_of;       ///< Scale the total to so many points, 0 leaves it; at most 1000
  double        pass_percent; ///< 0-100
  size_t        n_grades;
  QfGradeWord   grades[QF_RUBRIC_MAX_GRADES]; ///< From the best down

  // What counts as equal
  bool enharmonic_is_equal; ///< C sharp for D flat, and chords respelled the same way
  bool six_four_is_equal;   ///< Cad64, I64, and V with 6-4 over its bass are one
  bool degree_is_applied;   ///< II7 stands for V7/V
  bool key_is_free;         ///< A function counts in whichever key it is written
  bool case_is_free;        ///< Upper and lower case are one, so that only figures are judged
  bool follows_errors;      ///< What follows from one error is not charged again
} QfRubric;

/// The rubric a new lesson has
QfRubric
qf_rubric_default(void);

/// Number of rubrics that come with the program; the first is the default
size_t
qf_rubric_n_shipped(void);

const QfRubric*
qf_rubric_get_shipped(size_t index);

/// Find a shipped rubric by its name, or NULL
const QfRubric*
qf_rubric_find(const char* name);

/// #QF_ERR_RANGE with what is wrong: a worth, share, percentage or order of grades
QfStatus
qf_rubric_check(const QfRubric* rubric, QfError* error);

/// Word for a percentage, or empty
const char*
qf_rubric_grade_of(const QfRubric* rubric, double percent);

/// Round a total as the rubric says
double
qf_rubric_round(const QfRubric* rubric, double points, double possible);

/// Write a rubric file, `"format": "quintfall-rubric"` (transfer full)
QfStatus
qf_rubric_to_json(const QfRubric* rubric, char** json, QfError* error);

/// Read a rubric file; what is left out is as in qf_rubric_default()
QfStatus
qf_rubric_from_json(const char* json, size_t length, QfRubric* result, QfError* error);

QfStatus
qf_rubric_load(const char* path, QfRubric* result, QfError* error);

QfStatus
qf_rubric_save(const QfRubric* rubric, const char* path, QfError* error);

#endif // QUINTFALL_RUBRIC_H
