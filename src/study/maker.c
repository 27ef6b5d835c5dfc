// SPDX-License-Identifier: MIT
#include "maker.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char try_again[] = "Not yet. Hear it once more, with this in mind.";

// The key has no name here: a lesson that is transposed keeps its questions.
const char*
count_in(const Maker* const maker, const QfKey key)
{
  return qf_key_equals(key, maker->home) ? "" : " Count in the key that is reached there.";
}

QfQuestion
question_at(const Maker* const maker,
            const QfStage      stage,
            const QfLayer      layer,
            const QfAskForm    form,
            const char* const  kind,
            const QfTime       start,
            const QfTime       end)
{
  QfQuestion question = {
    .stage = stage, .layer = layer, .form = form, .key = maker->home, .start = start, .end = end};
  char time[48];
  qf_time_write(start, time, sizeof(time));
  snprintf(question.id, sizeof(question.id), "%s@%.20s", kind, time);
  return question;
}

void
set_prompt(QfQuestion* const question, const char* const format, ...)
{
  va_list args;
  va_start(args, format);
  vsnprintf(question->prompt, sizeof(question->prompt), format, args);
  va_end(args);
}

void
set_feedback(QfQuestion* const question, const char* const wrong, const char* const right, ...)
{
  va_list args;
  va_start(args, right);
  vsnprintf(question->right, sizeof(question->right), right, args);
  va_end(args);
  snprintf(question->wrong, sizeof(question->wrong), "%s", wrong);
}

void
add_hint(QfQuestion* const question, const char* const format, ...)
{
  if (question->n_hints < QF_QUESTION_MAX_HINTS) {
    va_list args;
    va_start(args, format);
    vsnprintf(question->hints[question->n_hints++], QF_QUESTION_TEXT_SIZE, format, args);
    va_end(args);
  }
}

void
add_choice(QfQuestion* const question, const char* const choice)
{
  for (size_t i = 0; i < question->n_choices; ++i) {
    if (!strcmp(question->choices[i], choice)) {
      return;
    }
  }
  if (question->n_choices < QF_QUESTION_MAX_CHOICES) {
    snprintf(question->choices[question->n_choices++], QF_QUESTION_CHOICE_SIZE, "%s", choice);
  }
}

void
add_answer(QfQuestion* const question, const char* const answer)
{
  for (size_t i = 0; i < question->n_answers; ++i) {
    if (!strcmp(question->answers[i], answer)) {
      return;
    }
  }
  if (question->n_answers < QF_QUESTION_MAX_ANSWERS) {
    snprintf(question->answers[question->n_answers++], QF_QUESTION_CHOICE_SIZE, "%s", answer);
  }
}

void
concern_note(QfQuestion* const question, const uint32_t note)
{
  if (question->n_notes < QF_QUESTION_MAX_NOTES) {
    question->notes[question->n_notes++] = note;
  }
}

void
add_question(Maker* const maker, const QfQuestion* const question)
{
  if (maker->status || maker->n_questions == QF_MAX_QUESTIONS) {
    return;
  }
  for (size_t i = 0; i < maker->n_questions; ++i) {
    if (!strcmp(maker->questions[i].id, question->id)) {
      return;
    }
  }
  if (maker->n_questions == maker->capacity) {
    const size_t      capacity = maker->capacity ? 2U * maker->capacity : 64U;
    QfQuestion* const grown = (QfQuestion*)realloc(maker->questions, capacity * sizeof(QfQuestion));
    if (!grown) {
      maker->status = QF_ERR_NO_MEM;
      return;
    }
    maker->questions = grown;
    maker->capacity  = capacity;
  }
  maker->questions[maker->n_questions++] = *question;
}

void
name_place(const Maker* const maker, const QfTime time, char* const buffer, const size_t size)
{
  qf_score_write_place(maker->score, time, buffer, size);
}

QfLayer
layer_of_voice(const Maker* const maker, const size_t voice)
{
  return voice == 0                                      ? QF_LAYER_SOPRANO
         : voice + 1U == qf_score_n_voices(maker->score) ? QF_LAYER_BASS
                                                         : QF_LAYER_INNER;
}

void
name_voice(const Maker* const maker, const size_t voice, char* const buffer, const size_t size)
{
  const char* const name  = qf_score_get_voice(maker->score, voice)->name;
  const QfLayer     layer = layer_of_voice(maker, voice);
  if (layer != QF_LAYER_INNER) {
    snprintf(buffer, size, "the %s", qf_layer_name(layer));
  } else if (name[0]) {
    snprintf(buffer, size, "the %c%s", tolower((unsigned char)name[0]), name + 1);
  } else {
    snprintf(buffer, size, "voice no. %zu", voice + 1U);
  }
}

void
name_degree(const QfPitch pitch, const QfKey key, char* const buffer, const size_t size)
{
  qf_scale_degree_write(qf_pitch_name(pitch), key, false, buffer, size);
}
