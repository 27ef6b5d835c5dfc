// SPDX-License-Identifier: MIT
#include "answer_read.h"
#include "json_unknown.h"
#include "study_json.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_PACKED = 64 << 20 };

QfStatus
answer_read_time_of_day(const Members* const members, char* const buffer)
{
  const char*    text = "";
  const QfStatus st   = json_read_string(members, "at", true, 64, &text);
  if (st) {
    return st;
  }
  if (!is_time_of_day(text)) {
    return json_read_fail(members, "at", "a time of day such as \"2026-03-09T18:30:00Z\"");
  }
  snprintf(buffer, QF_ANSWER_TIME_SIZE, "%s", text);
  return QF_OK;
}

static QfStatus
read_heard(const Members* const members, void* const data)
{
  QfAnswer* const answer  = (QfAnswer*)data;
  QfHeard         heard   = {.tempo_factor = 1.0, .from = QF_TIME_ZERO, .to = QF_TIME_ZERO};
  int64_t         attempt = 0;
  const char*     forward = "all";
  QfStatus        st      = answer_read_time_of_day(members, heard.at);
  st = st ? st : json_read_int(members, "attempt", false, 0, QF_MAX_ATTEMPTS, &attempt);
  st = st ? st : json_read_string(members, "forward", false, 32, &forward);
  st = st ? st : json_read_number(members, "tempo_factor", 0.25, 2.0, &heard.tempo_factor);
  st = st ? st : json_read_time(members, "from", false, &heard.from);
  st = st ? st : json_read_time(members, "to", false, &heard.to);
  if (st) {
    return st;
  }
  const size_t n_voices = qf_score_n_voices(qf_answer_get_frame(answer));
  if (qf_forward_parse(forward, n_voices, &heard.forward, NULL)) {
    return json_read_fail(members, "forward", "a voice, \"quality\" or \"all\"");
  }
  if (answer->n_heard == QF_MAX_HEARD) {
    return json_read_fail(members, NULL, "at most 10000 hearings");
  }
  QfHeard* const grown = (QfHeard*)grow(answer->heard, answer->n_heard, sizeof(QfHeard));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  heard.attempt                    = (size_t)attempt;
  answer->heard                    = grown;
  answer->heard[answer->n_heard++] = heard;
  return QF_OK;
}

static QfStatus
read_reply(const Members* const members, void* const data)
{
  QfAnswer* const answer = (QfAnswer*)data;
  QfReply         reply  = {.is_right = false};
  int64_t         hints  = 0;
  QfStatus        st     = answer_read_time_of_day(members, reply.at);
  st = st ? st : json_read_text_into(members, "question", reply.question, sizeof(reply.question));
  st = st ? st : json_read_text_into(members, "text", reply.text, sizeof(reply.text));
  st = st ? st : json_read_bool(members, "is_right", &reply.is_right);
  st = st ? st : json_read_int(members, "hints", false, 0, 100, &hints);
  if (st) {
    return st;
  }
  if (answer->n_replies == QF_MAX_HEARD) {
    return json_read_fail(members, NULL, "at most 10000 replies");
  }
  QfReply* const grown = (QfReply*)grow(answer->replies, answer->n_replies, sizeof(QfReply));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  reply.n_hints                        = (int8_t)hints;
  answer->replies                      = grown;
  answer->replies[answer->n_replies++] = reply;
  return QF_OK;
}

/// A voice of an answer
typedef struct {
  QfAnswer* answer;
  size_t    voice;
} VoiceOf;

static QfStatus
read_slot(const Members* const members, void* const data)
{
  const VoiceOf* const of     = (const VoiceOf*)data;
  QfAnswer* const      answer = of->answer;
  size_t* const        n      = &answer->n_slots[of->voice];
  QfSlot               slot   = {QF_TIME_ZERO, QF_TIME_ZERO, false};
  QfStatus             st     = json_read_time(members, "start", true, &slot.start);
  st                          = st ? st : json_read_time(members, "duration", true, &slot.duration);
  st                          = st ? st : json_read_bool(members, "is_given", &slot.is_given);
  if (st) {
    return st;
  }
  if (slot.duration.num <= 0) {
    return json_read_fail(members, "duration", "a length above zero");
  }
  QfSlot* const grown = (QfSlot*)grow(answer->slots[of->voice], *n, sizeof(QfSlot));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  answer->slots[of->voice] = grown;
  grown[(*n)++]            = slot;
  return QF_OK;
}

static QfStatus
read_slots(QfAnswer* const answer, const Members* const members)
{
  json_object* array = NULL;
  QfStatus     st    = json_read_array(members, "slots", false, &array);
  const size_t n     = st || !array ? 0 : json_object_array_length(array);
  if (n > QF_MAX_VOICES) {
    return json_read_fail(members, "slots", "at most 24 voices");
  }
  for (size_t v = 0; !st && v < n; ++v) {
    json_object* const voice = json_object_array_get_idx(array, v);
    char               name[32];
    snprintf(name, sizeof(name), "slots[%zu]", v);
    VoiceOf of = {answer, v};
    st         = json_object_is_type(voice, json_type_array)
                   ? json_read_items(members, voice, name, read_slot, &of)
                   : json_read_fail(members, "slots", "a list for each voice");
  }
  return st;
}

static QfStatus
read_spans(QfAnswer* const answer, const Members* const members)
{
  json_object* array = NULL;
  QfStatus     st    = json_read_array(members, "spans", false, &array);
  const size_t n     = st || !array ? 0 : json_object_array_length(array);
  if (st || !n) {
    return st;
  }
  answer->spans = (QfTime*)calloc(n, sizeof(QfTime));
  if (!answer->spans) {
    return QF_ERR_NO_MEM;
  }
  for (size_t i = 0; i < n; ++i) {
    json_object* const item = json_object_array_get_idx(array, i);
    QfTime             time = QF_TIME_ZERO;
    if (!json_object_is_type(item, json_type_string) ||
        qf_time_parse(json_object_get_string(item), &time, NULL) || time.num < 0) {
      return json_read_fail(members, "spans", "times such as \"3/8\"");
    }
    answer->spans[i] = time;
  }
  answer->n_spans = n;
  return QF_OK;
}

/// An object that must be there
static QfStatus
read_object(const Members* const members, const char* const name, Members* const result)
{
  *result = (Members){json_read_member(members, name), name, members->error};
  return json_object_is_type(result->object, json_type_object)
           ? QF_OK
           : json_read_fail(members, name, "an object");
}

static QfStatus
read_frame(QfAnswer* const answer, const Members* const members)
{
  Members        frame = {0};
  const QfStatus st    = read_object(members, "frame", &frame);
  if (st) {
    return st;
  }
  size_t            length = 0;
  const char* const text =
    json_object_to_json_string_length(frame.object, JSON_C_TO_STRING_PLAIN, &length);
  QfError        fault   = {0};
  const QfStatus read_st = text ? qf_lesson_from_json(text, length, &answer->frame, &fault)
                                : qf_error_set(&fault, QF_ERR_NO_MEM, "out of memory");
  return read_st ? qf_error_set(members->error, read_st, "frame: %s", fault.text) : QF_OK;
}

static QfStatus
read_student(QfAnswer* const answer, const Members* const members)
{
  static const char* const known[] = {"name", "id", NULL};

  Members student = {0};
  if (!json_read_member(members, "student")) {
    return QF_OK;
  }
  QfStatus st = read_object(members, "student", &student);
  st = st ? st : json_read_text_into(&student, "name", answer->student, sizeof(answer->student));
  st =
    st ? st : json_read_text_into(&student, "id", answer->student_id, sizeof(answer->student_id));
  return st ? st : json_keep_unknown(&answer->unknown, &student, "student", known);
}

static QfStatus
read_study(QfAnswer* const answer, const Members* const members)
{
  Members study = {0};
  if (!json_read_member(members, "study")) {
    return QF_OK;
  }
  QfStatus st = read_object(members, "study", &study);
  st          = st ? st : study_json_read(&study, &answer->study);
  return st ? st : json_keep_unknown(&answer->unknown, &study, "study", study_members);
}

static QfStatus
read_copy(const Members* const members, const char* const name, const size_t size, char** copy)
{
  const char*    text = NULL;
  const QfStatus st   = json_read_string(members, name, false, size, &text);
  if (st || !text) {
    return st;
  }
  *copy = strdup(text);
  return *copy ? QF_OK : QF_ERR_NO_MEM;
}

static QfStatus
read_document(QfAnswer* const answer, const Members* const members)
{
  static const char* const known[] = {"format", "version", "title",  "digest",   "student",
                                      "study",  "key",     "frame",  "slots",    "spans",
                                      "heard",  "replies", "packed", "attempts", NULL};

  QfStatus st = read_copy(members, "title", ANSWER_TITLE_SIZE, &answer->title);
  st          = st ? st : read_copy(members, "packed", MAX_PACKED, &answer->packed);
  st = st ? st : json_read_text_into(members, "digest", answer->digest, sizeof(answer->digest));
  st = st ? st : json_read_key(members, "key", true, &answer->key);
  st = st ? st : read_student(answer, members);
  st = st ? st : read_study(answer, members);
  st = st ? st : read_frame(answer, members);
  st = st ? st : read_slots(answer, members);
  st = st ? st : read_spans(answer, members);
  st = st ? st : json_read_list(members, "attempts", false, answer_read_attempt, answer);
  st = st ? st : json_read_list(members, "heard", false, read_heard, answer);
  st = st ? st : json_read_list(members, "replies", false, read_reply, answer);
  if (!st && !answer->title) {
    answer->title = strdup("");
    st            = answer->title ? QF_OK : QF_ERR_NO_MEM;
  }
  return st ? st : json_keep_unknown(&answer->unknown, members, "", known);
}

static QfStatus
read_version(const Members* const members, int64_t* const version)
{
  if (!json_object_is_type(members->object, json_type_object)) {
    return json_read_fail(members, NULL, "an object that holds an answer");
  }
  const char* format = "";
  QfStatus    st     = json_read_string(members, "format", true, 64, &format);
  if (!st && strcmp(format, ANSWER_FORMAT)) {
    st = json_read_fail(members, "format", "\"" ANSWER_FORMAT "\"");
  }
  return st ? st : json_read_int(members, "version", true, 1, INT32_MAX, version);
}

QfStatus
qf_answer_from_json(const char* const json,
                    const size_t      length,
                    QfAnswer** const  result,
                    QfError* const    error)
{
  if (error) {
    *error = (QfError){.measure = -1};
  }

  json_object* document = NULL;
  QfStatus     st       = json_read_text(json, length, &document, error);
  if (st) {
    return st;
  }

  const Members   members = {document, "", error};
  QfAnswer* const answer  = answer_alloc();
  int64_t         version = 0;
  st                      = answer ? read_version(&members, &version) : QF_ERR_NO_MEM;
  st                      = st ? st : read_document(answer, &members);
  json_object_put(document);
  if (st) {
    qf_answer_free(answer);
    return error && !error->text[0] ? qf_error_set(error, st, "%s", qf_status_text(st)) : st;
  }
  answer->version = (int)version;
  *result         = answer;
  return QF_OK;
}
