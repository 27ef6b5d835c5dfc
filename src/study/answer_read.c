// SPDX-License-Identifier: MIT
#include "answer_impl.h"
#include "json_unknown.h"
#include "study_json.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  PLACE_SIZE  = 96,
  MAX_NOTE_ID = INT32_MAX - 1,
  MAX_PACKED  = 64 << 20,
};

/// An answer being read, and the attempt or voice that a list belongs to
typedef struct {
  QfAnswer* answer;
  QfTry*    try;
  size_t    voice;
} Reader;

typedef QfStatus (*ReadItemFunc)(Reader* reader, const Members* members);

/// Read each object of a list
static QfStatus
read_items(Reader* const        reader,
           const Members* const members,
           json_object* const   array,
           const char* const    name,
           const ReadItemFunc   read_item)
{
  QfStatus     st      = QF_OK;
  const size_t n_items = json_object_array_length(array);
  for (size_t i = 0; !st && i < n_items; ++i) {
    char place[PLACE_SIZE];
    snprintf(place, sizeof(place), "%s%s%s[%zu]", members->place, members->place[0] ? "." : "",
             name, i);
    const Members item = {json_object_array_get_idx(array, i), place, members->error};
    st                 = json_object_is_type(item.object, json_type_object)
                           ? read_item(reader, &item)
                           : json_read_fail(&item, NULL, "an object");
  }
  return st;
}

static QfStatus
read_list(Reader* const        reader,
          const Members* const members,
          const char* const    name,
          const ReadItemFunc   read_item)
{
  json_object*   array = NULL;
  const QfStatus st    = json_read_array(members, name, false, &array);
  return st || !array ? st : read_items(reader, members, array, name, read_item);
}

static QfStatus
read_text(const Members* const members,
          const char* const    name,
          char* const          buffer,
          const size_t         size)
{
  const char*    text = "";
  const QfStatus st   = json_read_string(members, name, false, size, &text);
  if (!st) {
    snprintf(buffer, size, "%s", text);
  }
  return st;
}

static QfStatus
read_time_of_day(const Members* const members, char* const buffer)
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
read_note(Reader* const reader, const Members* const members)
{
  QfTry* const try   = reader->try;
  QfNote       note  = {.start = QF_TIME_ZERO, .duration = QF_TIME_ZERO};
  NoteMark     mark  = {0};
  int64_t      id    = 0;
  int64_t      voice = 0;
  const char*  pitch = "";
  QfStatus     st    = json_read_int(members, "id", true, 1, MAX_NOTE_ID, &id);
  st = st ? st : json_read_int(members, "voice", true, 0, QF_MAX_VOICES - 1, &voice);
  st = st ? st : json_read_time(members, "start", true, &note.start);
  st = st ? st : json_read_time(members, "duration", true, &note.duration);
  st = st ? st : json_read_string(members, "pitch", true, 32, &pitch);
  st = st ? st : json_read_bool(members, "is_doubtful", &mark.is_doubtful);
  st = st ? st : json_read_bool(members, "is_degree_only", &mark.is_degree_only);
  if (st) {
    return st;
  }
  if (qf_pitch_parse(pitch, &note.pitch, NULL)) {
    return json_read_fail(members, "pitch", "a pitch such as \"F#4\"");
  }
  if (qf_score_find_note(try->score, (uint32_t)id, NULL)) {
    return json_read_fail(members, "id", "a number that no other note has");
  }

  QfError fault = {0};
  note.id       = (uint32_t)id;
  mark.note     = note.id;
  st            = try_put_note(try, (size_t)voice, note, NULL, &fault);
  if (st == QF_ERR_RANGE) {
    return qf_error_set(members->error, QF_ERR_BAD_FILE, "%s: %s", members->place, fault.text);
  }
  return st ? st : try_set_mark(try, mark);
}

static QfStatus
read_kind(const Members* const members, QfAnswerChord* const chord)
{
  const char*    word = NULL;
  const QfStatus st   = json_read_string(members, "quality", false, 40, &word);
  if (st || !word) {
    return st;
  }
  for (int k = 0; k < QF_CHORD_N_KINDS; ++k) {
    if (!strcmp(word, qf_chord_kind_id((QfChordKind)k))) {
      chord->has_kind = true;
      chord->kind     = (QfChordKind)k;
      return QF_OK;
    }
  }
  return json_read_fail(members, "quality", "a chord quality such as \"dom7\"");
}

static QfStatus
read_chord(Reader* const reader, const Members* const members)
{
  QfAnswerChord chord = {.start = QF_TIME_ZERO};
  QfStatus      st    = json_read_time(members, "start", true, &chord.start);
  st                  = st ? st : read_kind(members, &chord);
  st = st ? st : read_text(members, "numeral", chord.numeral, sizeof(chord.numeral));
  st = st ? st : json_read_key(members, "key", false, &chord.key);
  st = st ? st : json_read_bool(members, "is_doubtful", &chord.is_doubtful);
  if (st) {
    return st;
  }
  chord.has_key = json_read_member(members, "key");
  if (qf_try_chord_at(reader->try, chord.start)) {
    return json_read_fail(members, "start", "a time that no other chord has");
  }
  st = try_put_chord(reader->try, chord);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "at most 10000 chords") : st;
}

static QfStatus
read_scratch(Reader* const reader, const Members* const members)
{
  QfScratch   scratch = {.start = QF_TIME_ZERO};
  int64_t     voice   = 0;
  int64_t     degree  = 0;
  int64_t     alter   = 0;
  const char* word    = contour_words[0];
  QfStatus    st      = json_read_int(members, "voice", true, 0, QF_MAX_VOICES - 1, &voice);
  st                  = st ? st : json_read_time(members, "start", true, &scratch.start);
  st                  = st ? st : json_read_string(members, "contour", false, 20, &word);
  st                  = st ? st : json_read_int(members, "degree", false, 0, 7, &degree);
  st                  = st ? st : json_read_int(members, "alter", false, -2, 2, &alter);
  if (st) {
    return st;
  }
  int contour = 0;
  while (contour < QF_CONTOUR_N_KINDS && strcmp(word, contour_words[contour])) {
    ++contour;
  }
  if (contour == QF_CONTOUR_N_KINDS) {
    return json_read_fail(members, "contour",
                          "\"none\", \"same\", \"step-up\", \"step-down\", \"leap-up\" or "
                          "\"leap-down\"");
  }
  scratch.voice   = (uint8_t)voice;
  scratch.contour = (QfContour)contour;
  scratch.degree  = (int8_t)degree;
  scratch.alter   = (int8_t)alter;
  st              = try_put_scratch(reader->try, scratch);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "at most 10000 marks") : st;
}

static QfStatus
read_attempt(Reader* const reader, const Members* const members)
{
  static const char* const known[] = {"at", "notes", "chords", "scratch", NULL};

  QfAnswer* const answer = reader->answer;
  char            at[QF_ANSWER_TIME_SIZE];
  if (answer->n_tries == QF_MAX_ATTEMPTS) {
    return json_read_fail(members, NULL, "at most 99 attempts");
  }
  QfStatus st = read_time_of_day(members, at);
  if (st) {
    return st;
  }
  reader->try = try_new(qf_answer_get_frame(answer), at);
  if (!reader->try) {
    return QF_ERR_NO_MEM;
  }
  answer->tries[answer->n_tries++] = reader->try;
  st                               = read_list(reader, members, "notes", read_note);
  st                               = st ? st : read_list(reader, members, "chords", read_chord);
  st                               = st ? st : read_list(reader, members, "scratch", read_scratch);
  return st ? st : json_keep_unknown(&answer->unknown, members, members->place, known);
}

static QfStatus
read_heard(Reader* const reader, const Members* const members)
{
  QfAnswer* const answer  = reader->answer;
  QfHeard         heard   = {.tempo_factor = 1.0, .from = QF_TIME_ZERO, .to = QF_TIME_ZERO};
  int64_t         attempt = 0;
  const char*     forward = "all";
  QfStatus        st      = read_time_of_day(members, heard.at);
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
read_reply(Reader* const reader, const Members* const members)
{
  QfAnswer* const answer = reader->answer;
  QfReply         reply  = {.is_right = false};
  int64_t         hints  = 0;
  QfStatus        st     = read_time_of_day(members, reply.at);
  st = st ? st : read_text(members, "question", reply.question, sizeof(reply.question));
  st = st ? st : read_text(members, "text", reply.text, sizeof(reply.text));
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

static QfStatus
read_slot(Reader* const reader, const Members* const members)
{
  QfAnswer* const answer = reader->answer;
  size_t* const   n      = &answer->n_slots[reader->voice];
  QfSlot          slot   = {QF_TIME_ZERO, QF_TIME_ZERO, false};
  QfStatus        st     = json_read_time(members, "start", true, &slot.start);
  st                     = st ? st : json_read_time(members, "duration", true, &slot.duration);
  st                     = st ? st : json_read_bool(members, "is_given", &slot.is_given);
  if (st) {
    return st;
  }
  QfSlot* const grown = (QfSlot*)grow(answer->slots[reader->voice], *n, sizeof(QfSlot));
  if (!grown) {
    return QF_ERR_NO_MEM;
  }
  answer->slots[reader->voice] = grown;
  grown[(*n)++]                = slot;
  return QF_OK;
}

static QfStatus
read_slots(Reader* const reader, const Members* const members)
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
    reader->voice = v;
    st            = json_object_is_type(voice, json_type_array)
                      ? read_items(reader, members, voice, name, read_slot)
                      : json_read_fail(members, "slots", "a list for each voice");
  }
  return st;
}

static QfStatus
read_spans(Reader* const reader, const Members* const members)
{
  json_object* array = NULL;
  QfStatus     st    = json_read_array(members, "spans", false, &array);
  const size_t n     = st || !array ? 0 : json_object_array_length(array);
  if (st || !n) {
    return st;
  }
  reader->answer->spans = (QfTime*)calloc(n, sizeof(QfTime));
  if (!reader->answer->spans) {
    return QF_ERR_NO_MEM;
  }
  for (size_t i = 0; i < n; ++i) {
    json_object* const item = json_object_array_get_idx(array, i);
    QfTime             time = QF_TIME_ZERO;
    if (!json_object_is_type(item, json_type_string) ||
        qf_time_parse(json_object_get_string(item), &time, NULL) || time.num < 0) {
      return json_read_fail(members, "spans", "times such as \"3/8\"");
    }
    reader->answer->spans[i] = time;
  }
  reader->answer->n_spans = n;
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
  st          = st ? st : read_text(&student, "name", answer->student, sizeof(answer->student));
  st          = st ? st : read_text(&student, "id", answer->student_id, sizeof(answer->student_id));
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

  Reader   reader = {.answer = answer};
  QfStatus st     = read_copy(members, "title", ANSWER_TITLE_SIZE, &answer->title);
  st              = st ? st : read_copy(members, "packed", MAX_PACKED, &answer->packed);
  st              = st ? st : read_text(members, "digest", answer->digest, sizeof(answer->digest));
  st              = st ? st : json_read_key(members, "key", true, &answer->key);
  st              = st ? st : read_student(answer, members);
  st              = st ? st : read_study(answer, members);
  st              = st ? st : read_frame(answer, members);
  st              = st ? st : read_slots(&reader, members);
  st              = st ? st : read_spans(&reader, members);
  st              = st ? st : read_list(&reader, members, "attempts", read_attempt);
  st              = st ? st : read_list(&reader, members, "heard", read_heard);
  st              = st ? st : read_list(&reader, members, "replies", read_reply);
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
