// SPDX-License-Identifier: MIT
// What is recorded of a student's work and cannot be undone.
#include "answer_impl.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool
is_time_of_day(const char* const text)
{
  static const char shape[] = "0000-00-00T00:00:00Z";
  if (strlen(text) != strlen(shape)) {
    return false;
  }
  for (size_t i = 0; shape[i]; ++i) {
    if (shape[i] == '0' ? !isdigit((unsigned char)text[i]) : text[i] != shape[i]) {
      return false;
    }
  }
  return true;
}

static QfStatus
check_change(const QfAnswer* const answer, const char* const at, QfError* const error)
{
  if (error) {
    *error = (QfError){.measure = -1};
  }
  if (qf_answer_is_read_only(answer)) {
    return qf_error_set(error, QF_ERR_READ_ONLY,
                        "this answer was written by a newer version of the program (format %d); "
                        "it can be read but not changed",
                        answer->version);
  }
  return at && !is_time_of_day(at)
           ? qf_error_set(error, QF_ERR_BAD_TEXT,
                          "expected a time such as 2026-03-09T18:30:00Z, not \"%.40s\"", at)
           : QF_OK;
}

QfStatus
qf_answer_set_student(QfAnswer* const   answer,
                      const char* const name,
                      const char* const id,
                      QfError* const    error)
{
  const QfStatus st = check_change(answer, NULL, error);
  if (st) {
    return st;
  }
  if (strlen(name) >= QF_ANSWER_NAME_SIZE || strlen(id) >= QF_ANSWER_NAME_SIZE) {
    return qf_error_set(error, QF_ERR_RANGE, "a student's name and number have at most %d bytes",
                        QF_ANSWER_NAME_SIZE - 1);
  }
  snprintf(answer->student, sizeof(answer->student), "%s", name);
  snprintf(answer->student_id, sizeof(answer->student_id), "%s", id);
  ++answer->revision;
  return QF_OK;
}

QfStatus
qf_answer_begin_attempt(QfAnswer* const   answer,
                        const char* const at,
                        const bool        is_copied,
                        QfError* const    error)
{
  const QfStatus st = check_change(answer, at, error);
  if (st) {
    return st;
  }
  const size_t limit =
    answer->study.max_attempts ? (size_t)answer->study.max_attempts : QF_MAX_ATTEMPTS;
  if (answer->n_tries >= limit) {
    return qf_error_set(error, QF_ERR_IMPOSSIBLE, "the task allows no more than %zu attempt%s",
                        limit, limit == 1 ? "" : "s");
  }

  const QfTry* const last = answer->n_tries ? answer->tries[answer->n_tries - 1U] : NULL;
  QfTry* const try = last && is_copied ? try_dup(last) : try_new(qf_answer_get_frame(answer), at);
  if (!try) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  snprintf(try->at, sizeof(try->at), "%s", at);
  steps_clear(&answer->undo);
  steps_clear(&answer->redo);
  answer->tries[answer->n_tries++] = try;
  ++answer->revision;
  return QF_OK;
}

QfStatus
qf_answer_add_heard(QfAnswer* const   answer,
                    const char* const at,
                    const QfHearing   hearing,
                    const QfTime      from,
                    const QfTime      to,
                    QfError* const    error)
{
  const QfStatus st = check_change(answer, at, error);
  if (st) {
    return st;
  }
  if (!qf_answer_hearings_left(answer)) {
    const int most = answer->study.max_hearings;
    return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                        "the task allows %d hearing%s, and no more is left", most,
                        most == 1 ? "" : "s");
  }
  if (answer->n_heard >= QF_MAX_HEARD) {
    return QF_OK; // Without a limit the log may end, the hearing need not.
  }

  QfHeard* const grown = (QfHeard*)grow(answer->heard, answer->n_heard, sizeof(QfHeard));
  if (!grown) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  QfHeard heard = {.attempt      = answer->n_tries,
                   .forward      = hearing.forward,
                   .tempo_factor = qf_hearing_clamp(hearing).tempo_factor,
                   .from         = from,
                   .to           = to};
  snprintf(heard.at, sizeof(heard.at), "%s", at);
  answer->heard                    = grown;
  answer->heard[answer->n_heard++] = heard;
  ++answer->revision;
  return QF_OK;
}

QfStatus
qf_answer_add_reply(QfAnswer* const   answer,
                    const char* const at,
                    const char* const question,
                    const char* const text,
                    const bool        is_right,
                    const int         n_hints,
                    QfError* const    error)
{
  const QfStatus st = check_change(answer, at, error);
  if (st || answer->n_replies >= QF_MAX_HEARD) {
    return st;
  }
  if (strlen(question) >= QF_QUESTION_ID_SIZE || strlen(text) >= QF_QUESTION_CHOICE_SIZE) {
    return qf_error_set(error, QF_ERR_RANGE, "a reply has at most %d bytes",
                        QF_QUESTION_CHOICE_SIZE - 1);
  }

  QfReply* const grown = (QfReply*)grow(answer->replies, answer->n_replies, sizeof(QfReply));
  if (!grown) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  QfReply reply = {.is_right = is_right,
                   .n_hints  = (int8_t)(n_hints < 0     ? 0
                                        : n_hints > 100 ? 100
                                                        : n_hints)};
  snprintf(reply.at, sizeof(reply.at), "%s", at);
  snprintf(reply.question, sizeof(reply.question), "%s", question);
  snprintf(reply.text, sizeof(reply.text), "%s", text);
  answer->replies                      = grown;
  answer->replies[answer->n_replies++] = reply;
  ++answer->revision;
  return QF_OK;
}
