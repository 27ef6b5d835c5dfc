// SPDX-License-Identifier: MIT
#include "answer_impl.h"
#include "pack.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

QfAnswer*
answer_alloc(void)
{
  QfAnswer* const answer = (QfAnswer*)calloc(1, sizeof(QfAnswer));
  if (answer) {
    answer->version = ANSWER_VERSION;
    answer->study   = qf_study_default();
  }
  return answer;
}

void
steps_clear(TrySteps* const steps)
{
  for (size_t i = 0; i < steps->n_steps; ++i) {
    try_free(steps->steps[i].try);
  }
  free(steps->steps);
  *steps = (TrySteps){0};
}

void
qf_answer_free(QfAnswer* const answer)
{
  if (answer) {
    steps_clear(&answer->undo);
    steps_clear(&answer->redo);
    for (size_t i = 0; i < answer->n_tries; ++i) {
      try_free(answer->tries[i]);
    }
    for (size_t v = 0; v < QF_MAX_VOICES; ++v) {
      free(answer->slots[v]);
    }
    json_object_put(answer->unknown);
    qf_lesson_free(answer->frame);
    free(answer->title);
    free(answer->spans);
    free(answer->packed);
    free(answer->heard);
    free(answer->replies);
    free(answer);
  }
}

/// Copy a score without the notes that are not given (transfer full)
static QfStatus
frame_score(const QfLesson* const lesson, QfScore** const result)
{
  const QfScore* const score = qf_lesson_get_score(lesson);
  QfScore* const       frame = qf_score_dup(score);
  QfStatus             st    = frame ? QF_OK : QF_ERR_NO_MEM;
  for (size_t v = 0; !st && v < qf_score_n_voices(score); ++v) {
    for (size_t i = 0; !st && i < qf_score_n_notes(score, v); ++i) {
      const QfNote* const note = qf_score_get_note(score, v, i);
      if (!qf_lesson_is_given(lesson, note->id)) {
        st = qf_score_erase(frame, v, note->start, qf_time_add(note->start, note->duration));
      }
    }
  }
  if (st) {
    qf_score_free(frame);
    return st;
  }
  *result = frame;
  return QF_OK;
}

static QfStatus
make_frame(QfAnswer* const answer, const QfLesson* const lesson)
{
  QfScore* score = NULL;
  QfStatus st    = frame_score(lesson, &score);
  if (st) {
    return st;
  }
  answer->frame = qf_lesson_new_from_score(score);
  st            = answer->frame ? QF_OK : QF_ERR_NO_MEM;
  for (size_t v = 0; !st && v < qf_score_n_voices(qf_answer_get_frame(answer)); ++v) {
    st = qf_lesson_set_voice_given(answer->frame, v, true, NULL);
  }
  if (!st) {
    qf_lesson_forget_history(answer->frame);
  }
  return st;
}

static QfStatus
make_slots(QfAnswer* const answer, const QfLesson* const lesson)
{
  const QfScore* const score = qf_lesson_get_score(lesson);
  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    const size_t n_notes = qf_score_n_notes(score, v);
    answer->slots[v]     = (QfSlot*)calloc(n_notes + 1U, sizeof(QfSlot));
    if (!answer->slots[v]) {
      return QF_ERR_NO_MEM;
    }
    answer->n_slots[v] = n_notes;
    for (size_t i = 0; i < n_notes; ++i) {
      const QfNote* const note = qf_score_get_note(score, v, i);
      answer->slots[v][i] =
        (QfSlot){note->start, note->duration, qf_lesson_is_given(lesson, note->id)};
    }
  }
  return QF_OK;
}

static QfStatus
make_spans(QfAnswer* const answer, const QfLabels* const labels)
{
  const size_t n_links = qf_labels_n_links(labels);
  answer->spans        = (QfTime*)calloc(n_links + 1U, sizeof(QfTime));
  if (!answer->spans) {
    return QF_ERR_NO_MEM;
  }
  for (size_t i = 0; i < n_links; ++i) {
    answer->spans[i] = qf_labels_get_link(labels, i)->start;
  }
  answer->n_spans = n_links;
  return QF_OK;
}

/// Pack the lesson without what is meant for the teacher's eyes
static QfStatus
make_packed(QfAnswer* const answer, const QfLesson* const lesson, QfError* const error)
{
  char*     json = NULL;
  QfLesson* copy = NULL;
  QfStatus  st   = qf_lesson_to_json(lesson, &json, error);
  st             = st ? st : qf_lesson_from_json(json, strlen(json), &copy, error);
  free(json);
  json = NULL;
  if (!st && !qf_lesson_is_read_only(copy)) {
    st = qf_lesson_set_notes_text(copy, "", error);
  }
  st = st ? st : qf_lesson_to_json(copy, &json, error);
  st = st ? st : pack_text(json, strlen(json), &answer->packed, error);
  qf_lesson_free(copy);
  free(json);
  return st;
}

QfStatus
qf_answer_new(QfLesson* const lesson, QfAnswer** const result, QfError* const error)
{
  if (error) {
    *error = (QfError){.measure = -1};
  }
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  QfAnswer* const       answer = labels ? answer_alloc() : NULL;
  if (!answer) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  answer->study = qf_lesson_get_study(lesson);
  answer->title = strdup(qf_score_get_title(qf_lesson_get_score(lesson)));
  answer->key   = qf_labels_get_key(labels);
  qf_lesson_digest(lesson, answer->digest);
  QfStatus st = answer->title ? make_frame(answer, lesson) : QF_ERR_NO_MEM;
  if (!st && answer->study.shows_rhythm) {
    st = make_slots(answer, lesson);
  }
  if (!st && answer->study.shows_spans) {
    st = make_spans(answer, labels);
  }
  st = st ? st : make_packed(answer, lesson, error);
  if (st) {
    qf_answer_free(answer);
    return error && !error->text[0] ? qf_error_set(error, st, "%s", qf_status_text(st)) : st;
  }
  *result = answer;
  return QF_OK;
}

QfStatus
qf_answer_unpack(const QfAnswer* const answer, QfLesson** const result, QfError* const error)
{
  if (!answer->packed) {
    return qf_error_set(error, QF_ERR_UNSUPPORTED,
                        "this answer does not carry its lesson; open the lesson as well");
  }
  char*    json   = NULL;
  size_t   length = 0;
  QfStatus st     = unpack_text(answer->packed, &json, &length, error);
  st              = st ? st : qf_lesson_from_json(json, length, result, error);
  free(json);
  return st;
}

const char*
qf_answer_get_title(const QfAnswer* const answer)
{
  return answer->title;
}

const char*
qf_answer_get_digest(const QfAnswer* const answer)
{
  return answer->digest;
}

const char*
qf_answer_get_student(const QfAnswer* const answer)
{
  return answer->student;
}

const char*
qf_answer_get_student_id(const QfAnswer* const answer)
{
  return answer->student_id;
}

QfStudy
qf_answer_get_study(const QfAnswer* const answer)
{
  return answer->study;
}

bool
qf_answer_is_same_task(const QfAnswer* const a, const QfAnswer* const b)
{
  const QfStudy x = a->study;
  const QfStudy y = b->study;
  return !strcmp(a->digest, b->digest) && x.layers == y.layers &&
         x.max_hearings == y.max_hearings && x.max_attempts == y.max_attempts &&
         x.shows_rhythm == y.shows_rhythm && x.shows_spans == y.shows_spans &&
         x.has_questions == y.has_questions && x.shows_result == y.shows_result &&
         !strcmp(a->packed ? a->packed : "", b->packed ? b->packed : "");
}

const QfScore*
qf_answer_get_frame(const QfAnswer* const answer)
{
  return qf_lesson_get_score(answer->frame);
}

QfKey
qf_answer_get_key(const QfAnswer* const answer)
{
  return answer->key;
}

size_t
qf_answer_n_slots(const QfAnswer* const answer, const size_t voice)
{
  return voice < QF_MAX_VOICES ? answer->n_slots[voice] : 0;
}

const QfSlot*
qf_answer_get_slot(const QfAnswer* const answer, const size_t voice, const size_t index)
{
  return &answer->slots[voice][index];
}

size_t
qf_answer_n_spans(const QfAnswer* const answer)
{
  return answer->n_spans;
}

QfTime
qf_answer_get_span(const QfAnswer* const answer, const size_t index)
{
  return answer->spans[index];
}

size_t
qf_answer_n_attempts(const QfAnswer* const answer)
{
  return answer->n_tries;
}

const QfTry*
qf_answer_get_attempt(const QfAnswer* const answer, const size_t index)
{
  return answer->tries[index];
}

size_t
qf_answer_n_heard(const QfAnswer* const answer)
{
  return answer->n_heard;
}

const QfHeard*
qf_answer_get_heard(const QfAnswer* const answer, const size_t index)
{
  return &answer->heard[index];
}

int
qf_answer_hearings_left(const QfAnswer* const answer)
{
  const int limit = answer->study.max_hearings;
  const int heard = (int)answer->n_heard;
  return !limit ? -1 : heard < limit ? limit - heard : 0;
}

size_t
qf_answer_n_replies(const QfAnswer* const answer)
{
  return answer->n_replies;
}

const QfReply*
qf_answer_get_reply(const QfAnswer* const answer, const size_t index)
{
  return &answer->replies[index];
}

uint64_t
qf_answer_get_revision(const QfAnswer* const answer)
{
  return answer->revision;
}

bool
qf_answer_is_modified(const QfAnswer* const answer)
{
  return answer->revision != answer->saved_revision;
}

bool
qf_answer_is_read_only(const QfAnswer* const answer)
{
  return answer->version > ANSWER_VERSION;
}
