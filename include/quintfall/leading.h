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

/**
   What a sung or played note answers to a question for a degree, whatever its octave.

   An accepted answer that sounds so, or else the degree that it is in the
   question's key, as qf_question_judge() reads it.

   @param midi MIDI key.
   @param buffer At least #QF_QUESTION_CHOICE_SIZE bytes.
   @return #QF_ERR_IMPOSSIBLE for a question that is answered in another form.
*/
QfStatus
qf_question_answer_of_key(const QfQuestion* question,
                          int               midi,
                          char*             buffer,
                          size_t            size,
                          QfError*          error);

#endif // QUINTFALL_LEADING_H
