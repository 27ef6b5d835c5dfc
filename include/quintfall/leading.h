// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LEADING_H
#define QUINTFALL_LEADING_H

#include "quintfall/lesson.h"

/**
   Make the leading questions of a lesson from its labels, in the order of
   #QfStage and within a stage in order of time.

   @param[out] result (transfer full, free()) NULL if there are none.
*/
QfStatus
qf_questions_make(QfLesson* lesson, QfQuestion** result, size_t* n_result, QfError* error);

/**
   Make a lesson's questions anew, as one edit.

   What the teacher edited, dropped, added and the order chosen stays; the rest
   follows the present labels, and questions whose place is gone leave.
*/
QfStatus
qf_questions_renew(QfLesson* lesson, QfError* error);

/**
   Judge an answer.

   A choice by its text; a degree as "5", "#4", "b7", or a syllable of movable do;
   a note by name, with its octave if the accepted answer has one; a numeral by what
   it stands for in the question's key, under the rubric's equalities.

   @param rubric May be NULL for the default.
   @param[out] is_right Set on success.
   @return #QF_ERR_BAD_TEXT for a text that is no such answer, with what was expected.
*/
QfStatus
qf_question_judge(const QfQuestion* question,
                  const QfRubric*   rubric,
                  const char*       text,
                  bool*             is_right,
                  QfError*          error);

#endif // QUINTFALL_LEADING_H
