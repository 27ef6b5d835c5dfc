// SPDX-License-Identifier: MIT
#include "questions.h"

#include <stdlib.h>
#include <string.h>

typedef struct {
  const char* id;
  const char* name;
} StageWords;

static const StageWords stage_words[QF_STAGE_N_KINDS] = {
  [QF_STAGE_FRAME]    = {"frame", "the frame"},
  [QF_STAGE_OUTER]    = {"outer", "the outer voices"},
  [QF_STAGE_FOREIGN]  = {"foreign", "notes foreign to the key"},
  [QF_STAGE_QUALITY]  = {"quality", "chord qualities"},
  [QF_STAGE_FUNCTION] = {"function", "functions"},
  [QF_STAGE_INNER]    = {"inner", "the inner voices"},
};

static const char* const form_words[QF_ASK_N_KINDS] = {
  [QF_ASK_CHOICE] = "choice", [QF_ASK_DEGREE] = "degree",   [QF_ASK_NOTE] = "note",
  [QF_ASK_SING] = "sing",     [QF_ASK_NUMERAL] = "numeral",
};

const char*
qf_stage_name(const QfStage stage)
{
  return stage_words[stage].name;
}

const char*
qf_stage_id(const QfStage stage)
{
  return stage_words[stage].id;
}

const char*
qf_ask_form_id(const QfAskForm form)
{
  return form_words[form];
}

static bool
is_choice(const QfQuestion* const question, const char* const answer)
{
  for (size_t i = 0; i < question->n_choices; ++i) {
    if (!strcmp(question->choices[i], answer)) {
      return true;
    }
  }
  return false;
}

QfStatus
qf_question_check(const QfQuestion* const question, QfError* const error)
{
  if (!question->prompt[0]) {
    return qf_error_set(error, QF_ERR_RANGE, "a question needs a prompt");
  }
  if (!question->n_answers || question->n_answers > QF_QUESTION_MAX_ANSWERS ||
      question->n_choices > QF_QUESTION_MAX_CHOICES || question->n_hints > QF_QUESTION_MAX_HINTS ||
      question->n_notes > QF_QUESTION_MAX_NOTES) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "a question needs 1 to %d accepted answers, and has at most %d choices, "
                        "%d hints and %d notes",
                        QF_QUESTION_MAX_ANSWERS, QF_QUESTION_MAX_CHOICES, QF_QUESTION_MAX_HINTS,
                        QF_QUESTION_MAX_NOTES);
  }
  for (size_t i = 0; question->form == QF_ASK_CHOICE && i < question->n_answers; ++i) {
    if (!is_choice(question, question->answers[i])) {
      return qf_error_set(error, QF_ERR_RANGE, "the accepted answer \"%s\" is none of the choices",
                          question->answers[i]);
    }
  }
  return qf_time_compare(question->start, question->end) <= 0
           ? QF_OK
           : qf_error_set(error, QF_ERR_RANGE, "what a question concerns ends before it begins");
}

Questions*
questions_new(const QfQuestion* const questions, const size_t n_questions)
{
  const size_t     size   = n_questions * sizeof(QfQuestion);
  Questions* const result = (Questions*)malloc(sizeof(Questions) + size);
  if (result) {
    result->n_owners    = 1;
    result->n_questions = n_questions;
    if (n_questions) {
      memcpy(result->questions, questions, size);
    }
  }
  return result;
}

Questions*
questions_share(Questions* const questions)
{
  if (questions) {
    ++questions->n_owners;
  }
  return questions;
}

void
questions_drop(Questions* const questions)
{
  if (questions && !--questions->n_owners) {
    free(questions);
  }
}

size_t
questions_find(const QfQuestion* const questions, const size_t n_questions, const char* const id)
{
  for (size_t i = 0; i < n_questions; ++i) {
    if (!strcmp(questions[i].id, id)) {
      return i;
    }
  }
  return SIZE_MAX;
}
