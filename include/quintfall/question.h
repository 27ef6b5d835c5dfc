// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_QUESTION_H
#define QUINTFALL_QUESTION_H

#include "quintfall/key.h"
#include "quintfall/study.h"
#include "quintfall/time.h"

/// What a leading question is about, from what the ear finds first to what reasoning adds
typedef enum {
  QF_STAGE_FRAME,    ///< First and last degree, cadence, same key or another
  QF_STAGE_OUTER,    ///< Outer lines by degree, step or leap
  QF_STAGE_FOREIGN,  ///< Notes foreign to the key and where they pull
  QF_STAGE_QUALITY,  ///< Chord qualities
  QF_STAGE_FUNCTION, ///< Where dominants point, and so their names
  QF_STAGE_INNER,    ///< Inner voices
  QF_STAGE_N_KINDS
} QfStage;

/// How a question is answered
typedef enum {
  QF_ASK_CHOICE,  ///< One of `choices`
  QF_ASK_DEGREE,  ///< A degree of `key`: "5", "#4", or a syllable
  QF_ASK_NOTE,    ///< A note on the staff, by name or with its octave
  QF_ASK_SING,    ///< Sung, or written where it cannot be heard; judged as #QF_ASK_DEGREE
  QF_ASK_NUMERAL, ///< A Roman numeral in `key`
  QF_ASK_N_KINDS
} QfAskForm;

enum {
  QF_QUESTION_ID_SIZE     = 48,
  QF_QUESTION_TEXT_SIZE   = 240,
  QF_QUESTION_CHOICE_SIZE = 64,
  QF_QUESTION_MAX_CHOICES = 10,
  QF_QUESTION_MAX_ANSWERS = 6,
  QF_QUESTION_MAX_HINTS   = 4,
  QF_QUESTION_MAX_NOTES   = 4,
  QF_MAX_QUESTIONS        = 2000,
};

/// A leading question; all texts are UTF-8 and NUL-terminated
typedef struct {
  char      id[QF_QUESTION_ID_SIZE]; ///< "quality@3/4": what is asked, and where
  QfStage   stage;
  QfLayer   layer; ///< That the answer helps to fill in
  QfAskForm form;
  QfKey     key;   ///< Of degrees and numerals
  QfTime    start; ///< Of what it concerns
  QfTime    end;
  size_t    n_notes;
  uint32_t  notes[QF_QUESTION_MAX_NOTES]; ///< Of the solution that it concerns
  char      prompt[QF_QUESTION_TEXT_SIZE];
  size_t    n_choices;
  char      choices[QF_QUESTION_MAX_CHOICES][QF_QUESTION_CHOICE_SIZE];
  size_t    n_answers; ///< Accepted; equal ones are found when it is checked
  char      answers[QF_QUESTION_MAX_ANSWERS][QF_QUESTION_CHOICE_SIZE];
  size_t    n_hints; ///< From a nudge to a strong hint; never the answer first
  char      hints[QF_QUESTION_MAX_HINTS][QF_QUESTION_TEXT_SIZE];
  char      right[QF_QUESTION_TEXT_SIZE]; ///< Said of a right answer
  char      wrong[QF_QUESTION_TEXT_SIZE]; ///< Said of a wrong one, without the answer
  bool      is_own;                       ///< The teacher's own: renewing leaves it alone
  bool      is_edited;                    ///< Changed by the teacher: renewing leaves it alone
  bool      is_dropped;                   ///< Not asked, and kept so by renewing
} QfQuestion;

/// English name, "notes foreign to the key"
const char*
qf_stage_name(QfStage stage);

const char*
qf_stage_id(QfStage stage);

const char*
qf_ask_form_id(QfAskForm form);

/// #QF_ERR_RANGE with what is wrong: no prompt, no accepted answer, one that is no choice
QfStatus
qf_question_check(const QfQuestion* question, QfError* error);

#endif // QUINTFALL_QUESTION_H
