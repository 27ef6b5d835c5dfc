// SPDX-License-Identifier: MIT
// Whether a reply to a leading question is right.
#include "grade_impl.h"

#include "quintfall/leading.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

/// A degree of a scale against its signature
typedef struct {
  int degree;
  int alter;
} Degree;

/// Copy a text without blanks at its ends; false if it is too long
static bool
trim(const char* text, char* const buffer, const size_t size)
{
  while (isspace((unsigned char)*text)) {
    ++text;
  }
  size_t length = strlen(text);
  while (length && isspace((unsigned char)text[length - 1U])) {
    --length;
  }
  if (length >= size) {
    return false;
  }
  memcpy(buffer, text, length);
  buffer[length] = '\0';
  return true;
}

/// Take a sign off the start of a text; its semitones, or 0 if there is none
static int
take_sign(const char** const text)
{
  static const char* const sharps[] = {"#", "\u266F"};
  static const char* const flats[]  = {"b", "\u266D"};
  for (size_t i = 0; i < 2; ++i) {
    if (!strncmp(*text, sharps[i], strlen(sharps[i]))) {
      *text += strlen(sharps[i]);
      return 1;
    }
    if (!strncmp(*text, flats[i], strlen(flats[i]))) {
      *text += strlen(flats[i]);
      return -1;
    }
  }
  return 0;
}

/// Read "5", "#4", "4#", "bb7"
static bool
parse_figure(const char* text, Degree* const result)
{
  Degree degree = {0, 0};
  for (int sign = take_sign(&text); sign; sign = take_sign(&text)) {
    degree.alter += sign;
  }
  if (*text < '1' || *text > '7') {
    return false;
  }
  degree.degree = *text++ - '0';
  for (int sign = take_sign(&text); sign; sign = take_sign(&text)) {
    degree.alter += sign;
  }
  *result = degree;
  return !*text;
}

/// Read a syllable of movable do, minor keys on do
static bool
parse_syllable(const char* const text, const QfKey key, Degree* const result)
{
  static const int alters[] = {0, 1, -1};
  for (size_t a = 0; a < sizeof(alters) / sizeof(alters[0]); ++a) {
    for (int degree = 1; degree <= 7; ++degree) {
      QfNoteName name = {0, 0};
      if (!qf_key_degree(key, degree, alters[a], &name) &&
          !strcasecmp(text, qf_solfege(name, key, QF_SOLFEGE_DO_MINOR))) {
        *result = (Degree){degree, alters[a]};
        return true;
      }
    }
  }
  return false;
}

static bool
parse_degree(const char* const text, const QfKey key, Degree* const result)
{
  return parse_figure(text, result) || parse_syllable(text, key, result);
}

static bool
sound_alike(const QfKey key, const Degree a, const Degree b)
{
  QfNoteName x = {0, 0};
  QfNoteName y = {0, 0};
  return !qf_key_degree(key, a.degree, a.alter, &x) && !qf_key_degree(key, b.degree, b.alter, &y) &&
         qf_note_name_semitones(x) == qf_note_name_semitones(y);
}

static QfStatus
judge_degree(const QfQuestion* const question,
             const QfRubric* const   rubric,
             const char* const       text,
             bool* const             is_right,
             QfError* const          error)
{
  Degree given = {0, 0};
  if (!parse_degree(text, question->key, &given)) {
    return qf_error_set(error, QF_ERR_BAD_TEXT,
                        "expected a degree such as 5, #4 or b7, or a syllable such as sol");
  }
  *is_right = false;
  for (size_t i = 0; i < question->n_answers; ++i) {
    Degree asked = {0, 0};
    if (parse_degree(question->answers[i], question->key, &asked)) {
      *is_right |= asked.degree == given.degree && asked.alter == given.alter;
      *is_right |= rubric->enharmonic_is_equal && sound_alike(question->key, asked, given);
    }
  }
  return QF_OK;
}

/// True if a name, or a pitch with its octave, is the accepted one
static bool
is_same_note(const char* const accepted, const char* const text, const bool is_enharmonic)
{
  QfPitch    asked      = {0, 0, 0};
  QfPitch    given      = {0, 0, 0};
  QfNoteName asked_name = {0, 0};
  QfNoteName given_name = {0, 0};
  if (!qf_pitch_parse(accepted, &asked, NULL)) {
    return !qf_pitch_parse(text, &given, NULL) &&
           (qf_pitch_equals(asked, given) ||
            (is_enharmonic && qf_pitch_midi(asked) == qf_pitch_midi(given)));
  }
  if (qf_note_name_parse(accepted, &asked_name, NULL, NULL)) {
    return false;
  }
  if (qf_note_name_parse(text, &given_name, NULL, NULL)) {
    if (qf_pitch_parse(text, &given, NULL)) {
      return false;
    }
    given_name = qf_pitch_name(given);
  }
  return qf_note_name_equals(asked_name, given_name) ||
         (is_enharmonic &&
          qf_note_name_semitones(asked_name) == qf_note_name_semitones(given_name));
}

static QfStatus
judge_note(const QfQuestion* const question,
           const QfRubric* const   rubric,
           const char* const       text,
           bool* const             is_right,
           QfError* const          error)
{
  QfPitch    pitch   = {0, 0, 0};
  QfNoteName name    = {0, 0};
  const bool has_all = !qf_pitch_parse(text, &pitch, NULL);
  if (!has_all && qf_note_name_parse(text, &name, NULL, NULL)) {
    return qf_error_set(error, QF_ERR_BAD_TEXT, "expected a note such as F#4");
  }

  bool wants_octave = false;
  *is_right         = false;
  for (size_t i = 0; i < question->n_answers; ++i) {
    wants_octave |= !qf_pitch_parse(question->answers[i], &pitch, NULL);
    *is_right |= is_same_note(question->answers[i], text, rubric->enharmonic_is_equal);
  }
  return wants_octave && !has_all
           ? qf_error_set(error, QF_ERR_BAD_TEXT, "expected a note with its octave, such as F#4")
           : QF_OK;
}

/// Faults that the rubric charges
static unsigned
charged(const QfRubric* const rubric, const unsigned faults)
{
  QfVerdict verdict = {.layer = QF_LAYER_NUMERAL, .faults = faults};
  price_verdict(rubric, &verdict);
  return verdict.faults;
}

static QfStatus
judge_numeral(const QfQuestion* const question,
              const QfRubric* const   rubric,
              const char* const       text,
              bool* const             is_right,
              QfError* const          error)
{
  const TypedNumeral typed = read_typed(text, false, question->key);
  if (!typed.is_read[question->key.mode]) {
    return qf_error_set(error, QF_ERR_BAD_TEXT, "expected a numeral such as V7/ii");
  }
  *is_right = false;
  for (size_t i = 0; i < question->n_answers; ++i) {
    QfLabel link = {.key = question->key};
    if (!qf_numeral_parse(question->answers[i], link.key.mode, &link.numeral, NULL)) {
      *is_right |= !charged(rubric, compare_numeral(rubric, &link, NULL, &typed).faults);
    }
  }
  return QF_OK;
}

static QfStatus
judge_choice(const QfQuestion* const question,
             const char* const       text,
             bool* const             is_right,
             QfError* const          error)
{
  bool is_choice = false;
  *is_right      = false;
  for (size_t i = 0; i < question->n_choices; ++i) {
    is_choice |= !strcasecmp(question->choices[i], text);
  }
  for (size_t i = 0; i < question->n_answers; ++i) {
    *is_right |= !strcasecmp(question->answers[i], text);
  }
  return is_choice ? QF_OK : qf_error_set(error, QF_ERR_BAD_TEXT, "expected one of the choices");
}

QfStatus
qf_question_judge(const QfQuestion* const question,
                  const QfRubric* const   rubric,
                  const char* const       text,
                  bool* const             is_right,
                  QfError* const          error)
{
  const QfRubric* const by = rubric ? rubric : qf_rubric_get_shipped(0);
  char                  reply[QF_NUMERAL_TEXT_SIZE];
  bool                  found = false;
  if (!trim(text, reply, sizeof(reply))) {
    return qf_error_set(error, QF_ERR_BAD_TEXT, "the reply is too long");
  }

  QfStatus st = QF_OK;
  switch (question->form) {
    case QF_ASK_DEGREE:
    case QF_ASK_SING:
      st = judge_degree(question, by, reply, &found, error);
      break;
    case QF_ASK_NOTE:
      st = judge_note(question, by, reply, &found, error);
      break;
    case QF_ASK_NUMERAL:
      st = judge_numeral(question, by, reply, &found, error);
      break;
    default:
      st = judge_choice(question, reply, &found, error);
      break;
  }
  if (!st) {
    *is_right = found;
  }
  return st;
}

QfStatus
qf_question_answer_of_key(const QfQuestion* const question,
                          const int               midi,
                          char* const             buffer,
                          const size_t            size,
                          QfError* const          error)
{
  if (question->form != QF_ASK_SING && question->form != QF_ASK_DEGREE) {
    return qf_error_set(error, QF_ERR_IMPOSSIBLE, "this question is not answered by singing");
  }
  for (size_t i = 0; i < question->n_answers; ++i) {
    Degree     asked = {0, 0};
    QfNoteName name  = {0, 0};
    if (parse_degree(question->answers[i], question->key, &asked) &&
        !qf_key_degree(question->key, asked.degree, asked.alter, &name) &&
        (qf_note_name_semitones(name) - midi) % 12 == 0) {
      snprintf(buffer, size, "%s", question->answers[i]);
      return QF_OK;
    }
  }
  qf_scale_degree_write(qf_key_spell(question->key, midi), question->key, false, buffer, size);
  return QF_OK;
}
