// SPDX-License-Identifier: MIT
#include "lesson_read.h"
#include "lesson_words.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/// Bring a document from one version to the next, in place
typedef QfStatus (*MigrateFunc)(json_object* document);

// By the version migrated from. Version 1 is the first that was ever written, so nothing leads
// to it; a later format adds its line here.
static const MigrateFunc migrations[LESSON_VERSION] = {[0] = NULL};

QfStatus
lesson_keep_unknown(State* const             state,
                    const Members* const     members,
                    const char* const        place,
                    const char* const* const known)
{
  return json_keep_unknown(&state->unknown, members, place, known);
}

static QfStatus
read_pin(const Members* const members, void* const data)
{
  State* const state = (State*)data;
  QfPin        pin   = {.start = QF_TIME_ZERO};
  const char*  text  = "";
  QfStatus     st    = json_read_time(members, "start", true, &pin.start);
  st                 = st ? st : json_read_key(members, "key", true, &pin.key);
  st = st ? st : json_read_string(members, "numeral", true, QF_NUMERAL_TEXT_SIZE, &text);
  if (st) {
    return st;
  }
  if (qf_numeral_parse(text, pin.key.mode, &pin.numeral, NULL)) {
    return json_read_fail(members, "numeral", "a Roman numeral such as \"V7/ii\"");
  }
  if (state_pin_at(state, pin.start) != SIZE_MAX) {
    return json_read_fail(members, "start", "a time that no other pin has");
  }
  st = state_put_pin(state, pin);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "at most 20000 pins") : st;
}

static QfStatus
read_givens(State* const state, const Members* const members)
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
    const Members      self = {item, place, members->error};
    const int64_t      id   = json_object_get_int64(item);
    if (!json_object_is_type(item, json_type_int) || id < 1 || id > MAX_NOTE_ID ||
        !qf_score_find_note(state->score, (uint32_t)id, NULL)) {
      return json_read_fail(&self, NULL, "the id of a note");
    }
    if (state_set_given(state, (uint32_t)id, true)) {
      return QF_ERR_NO_MEM;
    }
  }
  return QF_OK;
}

static QfStatus
read_head(State* const state, const Members* const members)
{
  const char* title    = "";
  const char* composer = "";
  const char* remarks  = "";
  double      tempo    = qf_score_get_tempo(state->score);

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
read_document(State* const state, const Members* const members)
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

  QfStatus st = read_head(state, members);
  st          = st ? st : lesson_read_score(state, members);
  st          = st ? st : json_read_list(members, "pins", false, read_pin, state);
  st          = st ? st : read_givens(state, members);
  st          = st ? st : lesson_read_settings(state, members);
  return st ? st : lesson_keep_unknown(state, members, "", known);
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
  State*        state   = NULL;
  st                    = read_version(&members, &version);
  if (!st) {
    state = state_new(qf_score_new());
    st    = state ? read_document(state, &members) : QF_ERR_NO_MEM;
    if (st == QF_ERR_BAD_FILE) {
      blame_newer_version(error, version);
    }
  }
  json_object_put(document);

  QfLesson* const lesson = st ? NULL : lesson_new_from_state(state);
  if (st) {
    state_free(state);
  }
  if (!lesson) {
    st = st ? st : QF_ERR_NO_MEM;
    return error && !error->text[0] ? qf_error_set(error, st, "%s", qf_status_text(st)) : st;
  }
  lesson->version = version > LESSON_VERSION ? (int)version : LESSON_VERSION;
  *result         = lesson;
  return QF_OK;
}
