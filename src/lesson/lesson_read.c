// SPDX-License-Identifier: MIT
#include "json_unknown.h"
#include "lesson_impl.h"
#include "lesson_words.h"
#include "plan_json.h"
#include "rubric_json.h"
#include "study_json.h"

#include <ctype.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_NOTE_ID = INT32_MAX - 1,
};

/// A lesson being read
typedef struct {
  State*   state;
  QfError* error;
} Reader;

typedef QfStatus (*ReadItemFunc)(Reader* reader, const Members* members);

/// Bring a document from one version to the next, in place
typedef QfStatus (*MigrateFunc)(json_object* document);

// By the version migrated from. Version 1 is the first that was ever written, so nothing leads
// to it; a later format adds its line here.
static const MigrateFunc migrations[LESSON_VERSION] = {[0] = NULL};

/// Keep the members of an object that are not in the list
static QfStatus
keep_unknown(Reader* const            reader,
             const Members* const     members,
             const char* const        place,
             const char* const* const known)
{
  return json_keep_unknown(&reader->state->unknown, members, place, known);
}

/// Read each object of a list
static QfStatus
read_list(Reader* const        reader,
          const Members* const members,
          const char* const    name,
          const bool           is_needed,
          const ReadItemFunc   read_item)
{
  json_object*   array = NULL;
  const QfStatus st    = json_read_array(members, name, is_needed, &array);
  if (st || !array) {
    return st;
  }

  const size_t n_items = json_object_array_length(array);
  for (size_t i = 0; i < n_items; ++i) {
    char place[PLACE_SIZE];
    snprintf(place, sizeof(place), "%s%s%s[%zu]", members->place, members->place[0] ? "." : "",
             name, i);

    const Members item = {json_object_array_get_idx(array, i), place, reader->error};
    if (!json_object_is_type(item.object, json_type_object)) {
      return json_read_fail(&item, NULL, "an object");
    }
    const QfStatus item_st = read_item(reader, &item);
    if (item_st) {
      return item_st;
    }
  }
  return QF_OK;
}

static QfStatus
read_metre(const Members* const members, const bool is_needed, QfMetre* const metre)
{
  const char*    text = NULL;
  const QfStatus st   = json_read_string(members, "metre", is_needed, 64, &text);
  if (st || !text) {
    return st;
  }
  return qf_metre_parse(text, metre, NULL)
           ? json_read_fail(members, "metre", "a metre such as \"3/4\"")
           : QF_OK;
}

static QfStatus
append_bars(const Reader* const  reader,
            const Members* const members,
            QfBar                bar,
            const int64_t        count)
{
  for (int64_t i = 0; i < count; ++i) {
    const QfStatus st = qf_score_append_bar(reader->state->score, bar);
    if (st == QF_ERR_RANGE) {
      return json_read_fail(members, NULL,
                            "a bar of positive length, and at most 10000 bars in all");
    }
    if (st) {
      return st;
    }
    ++bar.number;
  }
  return QF_OK;
}

static QfStatus
read_bar(Reader* const reader, const Members* const members)
{
  const size_t       n_bars = qf_score_n_bars(reader->state->score);
  const QfBar* const last   = n_bars ? qf_score_get_bar(reader->state->score, n_bars - 1U) : NULL;

  QfBar       bar    = {.metre = last ? last->metre : (QfMetre){0}, .offset = QF_TIME_ZERO};
  int64_t     number = last ? last->number + 1 : 1;
  int64_t     count  = 1;
  const char* suffix = "";
  QfStatus    st     = read_metre(members, !last, &bar.metre);
  bar.length         = st ? QF_TIME_ZERO : qf_metre_bar(bar.metre);
  st                 = st ? st : json_read_int(members, "number", false, 0, 1000000, &number);
  st                 = st ? st : json_read_int(members, "count", false, 1, QF_MAX_BARS, &count);
  st                 = st ? st : json_read_string(members, "suffix", false, 2, &suffix);
  st                 = st ? st : json_read_time(members, "length", false, &bar.length);
  st                 = st ? st : json_read_time(members, "offset", false, &bar.offset);
  st                 = st ? st : json_read_bool(members, "starts_repeat", &bar.starts_repeat);
  st                 = st ? st : json_read_bool(members, "ends_repeat", &bar.ends_repeat);
  if (st) {
    return st;
  }
  if (suffix[0] && !isalpha((unsigned char)suffix[0])) {
    return json_read_fail(members, "suffix", "one letter from a to z");
  }

  bar.number = (int)number;
  bar.suffix = suffix[0];
  return append_bars(reader, members, bar, count);
}

static QfStatus
read_signature(Reader* const reader, const Members* const members)
{
  QfTime   start = QF_TIME_ZERO;
  QfKey    key   = {{0, 0}, QF_MAJOR};
  QfStatus st    = json_read_time(members, "start", true, &start);
  st             = st ? st : json_read_key(members, "key", true, &key);
  if (st) {
    return st;
  }

  st = qf_score_set_signature(reader->state->score, start, key);
  return st == QF_ERR_RANGE ? json_read_fail(members, "start", "a time within the piece") : st;
}

static QfStatus
read_staff(Reader* const reader, const Members* const members)
{
  static const char* const known[] = {"name", "clef", NULL};

  const char* name = "";
  const char* word = "";
  QfStatus    st   = json_read_string(members, "name", false, QF_NAME_SIZE, &name);
  st               = st ? st : json_read_string(members, "clef", true, 64, &word);
  st               = st ? st : keep_unknown(reader, members, members->place, known);
  if (st) {
    return st;
  }

  size_t clef = 0;
  while (clef < QF_CLEF_N_KINDS && strcmp(word, clef_words[clef])) {
    ++clef;
  }
  if (clef == QF_CLEF_N_KINDS) {
    return json_read_fail(members, "clef",
                          "\"treble\", \"bass\", \"alto\", \"tenor\" or \"treble-8\"");
  }
  st = qf_score_add_staff(reader->state->score, name, (QfClef)clef);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "at most 16 staves") : st;
}

static QfStatus
read_note(Reader* const reader, const Members* const members)
{
  static const char* const known[] = {"id", "start", "duration", "pitch", NULL};

  QfScore* const score = reader->state->score;
  const size_t   voice = qf_score_n_voices(score) - 1U;
  QfNote         note  = {.start = QF_TIME_ZERO, .duration = QF_TIME_ZERO};
  int64_t        id    = 0;
  const char*    pitch = "";
  QfStatus       st    = json_read_int(members, "id", true, 1, MAX_NOTE_ID, &id);
  st                   = st ? st : json_read_time(members, "start", true, &note.start);
  st                   = st ? st : json_read_time(members, "duration", true, &note.duration);
  st                   = st ? st : json_read_string(members, "pitch", true, 32, &pitch);
  if (st) {
    return st;
  }

  if (qf_pitch_parse(pitch, &note.pitch, NULL)) {
    return json_read_fail(members, "pitch", "a pitch such as \"F#4\"");
  }
  if (note.duration.num <= 0) {
    return json_read_fail(members, "duration", "a length above zero");
  }
  if (qf_score_find_note(score, (uint32_t)id, NULL)) {
    return json_read_fail(members, "id", "a number that no other note has");
  }

  const size_t n_notes = qf_score_n_notes(score, voice);
  if (n_notes) {
    const QfNote* const last = qf_score_get_note(score, voice, n_notes - 1U);
    if (qf_time_compare(note.start, qf_time_add(last->start, last->duration)) < 0) {
      return json_read_fail(members, "start", "a time not before the end of the note before");
    }
  }
  if (qf_time_compare(qf_time_add(note.start, note.duration), qf_score_get_end(score)) > 0) {
    return json_read_fail(members, NULL, "a note that ends within the last bar");
  }

  char place[PLACE_SIZE];
  snprintf(place, sizeof(place), "note %" PRIu32, (uint32_t)id);
  st = keep_unknown(reader, members, place, known);
  st =
    st ? st
       : qf_score_put_note(score, voice, note.start, note.duration, note.pitch, (uint32_t)id, NULL);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "a note from C-1 to G9") : st;
}

static QfStatus
read_voice(Reader* const reader, const Members* const members)
{
  static const char* const known[] = {"name", "staff", "notes", NULL};

  const size_t n_staves = qf_score_n_staves(reader->state->score);
  const char*  name     = "";
  int64_t      staff    = 0;
  if (!n_staves) {
    return json_read_fail(members, NULL, "at least one staff before the voices");
  }

  QfStatus st = json_read_string(members, "name", false, QF_NAME_SIZE, &name);
  st          = st ? st : json_read_int(members, "staff", true, 0, (int64_t)n_staves - 1, &staff);
  st          = st ? st : keep_unknown(reader, members, members->place, known);
  if (st) {
    return st;
  }

  st = qf_score_add_voice(reader->state->score, name, (size_t)staff);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "at most 24 voices")
         : st               ? st
                            : read_list(reader, members, "notes", false, read_note);
}

static QfStatus
read_pin(Reader* const reader, const Members* const members)
{
  QfPin       pin  = {.start = QF_TIME_ZERO};
  const char* text = "";
  QfStatus    st   = json_read_time(members, "start", true, &pin.start);
  st               = st ? st : json_read_key(members, "key", true, &pin.key);
  st = st ? st : json_read_string(members, "numeral", true, QF_NUMERAL_TEXT_SIZE, &text);
  if (st) {
    return st;
  }
  if (qf_numeral_parse(text, pin.key.mode, &pin.numeral, NULL)) {
    return json_read_fail(members, "numeral", "a Roman numeral such as \"V7/ii\"");
  }
  if (state_pin_at(reader->state, pin.start) != SIZE_MAX) {
    return json_read_fail(members, "start", "a time that no other pin has");
  }
  st = state_put_pin(reader->state, pin);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "at most 20000 pins") : st;
}

static QfStatus
read_fermatas(const Reader* const reader, const Members* const members)
{
  json_object*   array = NULL;
  const QfStatus st    = json_read_array(members, "fermatas", false, &array);
  if (st || !array) {
    return st;
  }

  const size_t n_items = json_object_array_length(array);
  for (size_t i = 0; i < n_items; ++i) {
    char place[PLACE_SIZE];
    snprintf(place, sizeof(place), "fermatas[%zu]", i);

    json_object* const item = json_object_array_get_idx(array, i);
    const Members      self = {item, place, reader->error};
    QfTime             time = QF_TIME_ZERO;
    QfStatus           set  = QF_ERR_RANGE;
    if (json_object_is_type(item, json_type_string) &&
        !qf_time_parse(json_object_get_string(item), &time, NULL)) {
      set = qf_score_set_fermata(reader->state->score, time, true);
    }
    if (set) {
      return set == QF_ERR_RANGE ? json_read_fail(&self, NULL, "a time at which a note starts")
                                 : set;
    }
  }
  return QF_OK;
}

static QfStatus
read_givens(const Reader* const reader, const Members* const members)
{
  json_object*   array = NULL;
  const QfStatus st    = json_read_array(members, "givens", false, &array);
  if (st || !array) {
    return st;
  }

  const size_t n_items = json_object_array_length(array);
  for (size_t i = 0; i < n_items; ++i) {
    char place[PLACE_SIZE];
    snprintf(place, sizeof(place), "givens[%zu]", i);

    json_object* const item = json_object_array_get_idx(array, i);
    const Members      self = {item, place, reader->error};
    const int64_t      id   = json_object_get_int64(item);
    if (!json_object_is_type(item, json_type_int) || id < 1 || id > MAX_NOTE_ID ||
        !qf_score_find_note(reader->state->score, (uint32_t)id, NULL)) {
      return json_read_fail(&self, NULL, "the id of a note");
    }
    if (state_set_given(reader->state, (uint32_t)id, true)) {
      return QF_ERR_NO_MEM;
    }
  }
  return QF_OK;
}

static QfStatus
read_hearing_members(Reader* const reader, const Members* const members)
{
  static const char* const known[] = {"forward",         "spread",  "tempo_factor", "prelude",
                                      "count_in",        "repeats", "gap_beats",    "softening_db",
                                      "forward_gain_db", "lead_ms", "level_db",     "program",
                                      "forward_program", NULL};

  QfHearing   hearing         = qf_hearing_default();
  int64_t     repeats         = hearing.repeats;
  int64_t     program         = hearing.program;
  int64_t     forward_program = hearing.forward_program;
  const char* forward         = "all";

  // The ranges are those of qf_hearing_clamp().
  QfStatus st = json_read_string(members, "forward", false, 32, &forward);
  st          = st ? st : json_read_bool(members, "spread", &hearing.is_spread);
  st = st ? st : json_read_number(members, "tempo_factor", 0.25, 2.0, &hearing.tempo_factor);
  st = st ? st : json_read_bool(members, "prelude", &hearing.has_prelude);
  st = st ? st : json_read_bool(members, "count_in", &hearing.has_count_in);
  st = st ? st : json_read_int(members, "repeats", false, 1, 20, &repeats);
  st = st ? st : json_read_number(members, "gap_beats", 0.0, 64.0, &hearing.gap_beats);
  st = st ? st : json_read_number(members, "softening_db", 9.0, 30.0, &hearing.softening_db);
  st = st ? st : json_read_number(members, "forward_gain_db", 0.0, 9.0, &hearing.forward_gain_db);
  st = st ? st : json_read_number(members, "lead_ms", 0.0, 80.0, &hearing.lead_ms);
  st = st ? st : json_read_number(members, "level_db", -40.0, 0.0, &hearing.level_db);
  st = st ? st : json_read_int(members, "program", false, 0, 127, &program);
  st = st ? st : json_read_int(members, "forward_program", false, 0, 127, &forward_program);
  st = st ? st : keep_unknown(reader, members, "hearing", known);
  if (st) {
    return st;
  }

  const size_t n_voices = qf_score_n_voices(reader->state->score);
  if (qf_forward_parse(forward, n_voices, &hearing.forward, NULL)) {
    return json_read_fail(members, "forward", "a voice, \"quality\" or \"all\"");
  }
  hearing.repeats         = (int)repeats;
  hearing.program         = (int)program;
  hearing.forward_program = (int)forward_program;
  reader->state->hearing  = hearing;
  return QF_OK;
}

static QfStatus
read_hearing(Reader* const reader, const Members* const members)
{
  const Members hearing = {json_read_member(members, "hearing"), "hearing", reader->error};
  if (!hearing.object) {
    return QF_OK;
  }
  return json_object_is_type(hearing.object, json_type_object)
           ? read_hearing_members(reader, &hearing)
           : json_read_fail(members, "hearing", "an object");
}

static QfStatus
read_plan(Reader* const reader, const Members* const members)
{
  const Members plan = {json_read_member(members, "plan"), "plan", reader->error};
  if (!plan.object) {
    return QF_OK;
  }
  return plan_json_read(&plan, &reader->state->plan);
}

static QfStatus
read_study(Reader* const reader, const Members* const members)
{
  const Members study = {json_read_member(members, "study"), "study", reader->error};
  if (!study.object) {
    return QF_OK;
  }
  reader->state->has_study = true;
  const QfStatus st        = study_json_read(&study, &reader->state->study);
  return st ? st : keep_unknown(reader, &study, "study", study_members);
}

static QfStatus
read_rubric(Reader* const reader, const Members* const members)
{
  const Members rubric = {json_read_member(members, "rubric"), "rubric", reader->error};
  if (!rubric.object) {
    return QF_OK;
  }
  reader->state->has_rubric = true;
  const QfStatus st         = rubric_json_read(&rubric, &reader->state->rubric);
  return st ? st : keep_unknown(reader, &rubric, "rubric", rubric_members);
}

static QfStatus
read_question(Reader* const        reader,
              const Members* const members,
              QfQuestion* const    questions,
              const size_t         n_questions)
{
  if (!json_object_is_type(members->object, json_type_object)) {
    return json_read_fail(members, NULL, "an object");
  }

  QfStatus st = question_json_read(members, &questions[n_questions]);
  if (st) {
    return st;
  }
  const char* const id = questions[n_questions].id;
  if (!id[0] || questions_find(questions, n_questions, id) != SIZE_MAX) {
    return json_read_fail(members, "id", "a text that no other question has");
  }
  char place[PLACE_SIZE];
  snprintf(place, sizeof(place), "question %s", id);
  return keep_unknown(reader, members, place, question_members);
}

static QfStatus
read_questions(Reader* const reader, const Members* const members)
{
  json_object* array   = NULL;
  QfStatus     st      = json_read_array(members, "questions", false, &array);
  const size_t n_items = st || !array ? 0 : json_object_array_length(array);
  if (st || !n_items) {
    return st;
  }
  if (n_items > QF_MAX_QUESTIONS) {
    return json_read_fail(members, "questions", "at most 2000 questions");
  }

  QfQuestion* const questions = (QfQuestion*)calloc(n_items, sizeof(QfQuestion));
  st                          = questions ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = 0; !st && i < n_items; ++i) {
    char place[PLACE_SIZE];
    snprintf(place, sizeof(place), "questions[%zu]", i);
    const Members item = {json_object_array_get_idx(array, i), place, reader->error};
    st                 = read_question(reader, &item, questions, i);
  }
  if (!st) {
    reader->state->questions = questions_new(questions, n_items);
    st                       = reader->state->questions ? QF_OK : QF_ERR_NO_MEM;
  }
  free(questions);
  return st;
}

static QfStatus
read_head(Reader* const reader, const Members* const members)
{
  State* const state    = reader->state;
  const char*  title    = "";
  const char*  composer = "";
  const char*  remarks  = "";
  double       tempo    = qf_score_get_tempo(state->score);

  QfStatus st = json_read_string(members, "title", false, LESSON_TEXT_SIZE, &title);
  st          = st ? st : json_read_string(members, "composer", false, LESSON_TEXT_SIZE, &composer);
  st          = st ? st : json_read_string(members, "remarks", false, LESSON_TEXT_SIZE, &remarks);
  st          = st ? st : json_read_key(members, "key", false, &state->key);
  state->has_key      = json_read_member(members, "key");
  state->may_modulate = !state->has_key;
  st                  = st ? st : json_read_bool(members, "may_modulate", &state->may_modulate);
  st                  = st ? st
                           : json_read_number(members, "modulation_beats", 0.0, QF_MAX_KEY_BEATS,
                                              &state->thresholds.least_beats);
  st                  = st ? st
                           : json_read_number(members, "cadence_beats", 0.0, QF_MAX_KEY_BEATS,
                                              &state->thresholds.cadence_beats);
  st                  = st ? st : json_read_number(members, "tempo", 10.0, 400.0, &tempo);
  st                  = st ? st : qf_score_set_title(state->score, title);
  st                  = st ? st : qf_score_set_composer(state->score, composer);
  st                  = st ? st : qf_score_set_tempo(state->score, tempo);
  return st ? st : state_set_remarks(state, remarks);
}

static QfStatus
read_document(Reader* const reader, const Members* const members)
{
  static const char* const known[] = {"format",
                                      "version",
                                      "title",
                                      "composer",
                                      "remarks",
                                      "key",
                                      "may_modulate",
                                      "modulation_beats",
                                      "cadence_beats",
                                      "tempo",
                                      "bars",
                                      "signatures",
                                      "staves",
                                      "voices",
                                      "fermatas",
                                      "pins",
                                      "givens",
                                      "hearing",
                                      "plan",
                                      "study",
                                      "rubric",
                                      "questions",
                                      NULL};

  QfStatus st = read_head(reader, members);
  st          = st ? st : read_list(reader, members, "bars", true, read_bar);
  if (!st && !qf_score_n_bars(reader->state->score)) {
    st = json_read_fail(members, "bars", "at least one bar");
  }
  st = st ? st : read_list(reader, members, "signatures", false, read_signature);
  st = st ? st : read_list(reader, members, "staves", true, read_staff);
  st = st ? st : read_list(reader, members, "voices", true, read_voice);
  if (!st && !qf_score_n_voices(reader->state->score)) {
    st = json_read_fail(members, "voices", "at least one voice");
  }
  st = st ? st : read_fermatas(reader, members);
  st = st ? st : read_list(reader, members, "pins", false, read_pin);
  st = st ? st : read_givens(reader, members);
  st = st ? st : read_hearing(reader, members);
  st = st ? st : read_plan(reader, members);
  st = st ? st : read_study(reader, members);
  st = st ? st : read_rubric(reader, members);
  st = st ? st : read_questions(reader, members);
  return st ? st : keep_unknown(reader, members, "", known);
}

/// Check format and version, and bring an older document up to date
static QfStatus
read_version(const Members* const members, int64_t* const version)
{
  if (!json_object_is_type(members->object, json_type_object)) {
    return json_read_fail(members, NULL, "an object that holds a lesson");
  }

  const char* format = "";
  QfStatus    st     = json_read_string(members, "format", true, 64, &format);
  if (!st && strcmp(format, LESSON_FORMAT)) {
    st = json_read_fail(members, "format", "\"" LESSON_FORMAT "\"");
  }
  st = st ? st : json_read_int(members, "version", true, 0, INT32_MAX, version);
  for (int64_t v = *version; !st && v < LESSON_VERSION; ++v) {
    st = migrations[v] ? migrations[v](members->object)
                       : json_read_fail(members, "version", "1, the first that was written");
  }
  return st;
}

/// Say that a fault may be none in the eyes of the newer version that wrote the file
static void
blame_newer_version(QfError* const error, const int64_t version)
{
  if (error && version > LESSON_VERSION) {
    const size_t length = strlen(error->text);
    snprintf(error->text + length, sizeof(error->text) - length,
             "; the file was written by a newer version of the program (format %d), which may "
             "keep it otherwise",
             (int)version);
  }
}

QfStatus
qf_lesson_from_json(const char* const json,
                    const size_t      length,
                    QfLesson** const  result,
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

  const Members members = {document, "", error};
  int64_t       version = 0;
  Reader        reader  = {.error = error};
  st                    = read_version(&members, &version);
  if (!st) {
    reader.state = state_new(qf_score_new());
    st           = reader.state ? read_document(&reader, &members) : QF_ERR_NO_MEM;
    if (st == QF_ERR_BAD_FILE) {
      blame_newer_version(error, version);
    }
  }
  json_object_put(document);

  QfLesson* const lesson = st ? NULL : lesson_new_from_state(reader.state);
  if (st) {
    state_free(reader.state);
  }
  if (!lesson) {
    st = st ? st : QF_ERR_NO_MEM;
    return error && !error->text[0] ? qf_error_set(error, st, "%s", qf_status_text(st)) : st;
  }
  lesson->version = version > LESSON_VERSION ? (int)version : LESSON_VERSION;
  *result         = lesson;
  return QF_OK;
}
