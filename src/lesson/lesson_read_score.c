// SPDX-License-Identifier: MIT
// The music of a lesson file: bars, signatures, staves, voices and their notes.
#include "lesson_read.h"
#include "lesson_words.h"

#include <ctype.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

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
append_bars(State* const state, const Members* const members, QfBar bar, const int64_t count)
{
  for (int64_t i = 0; i < count; ++i) {
    const QfStatus st = qf_score_append_bar(state->score, bar);
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
read_bar(const Members* const members, void* const data)
{
  State* const       state  = (State*)data;
  const size_t       n_bars = qf_score_n_bars(state->score);
  const QfBar* const last   = n_bars ? qf_score_get_bar(state->score, n_bars - 1U) : NULL;

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
  return append_bars(state, members, bar, count);
}

static QfStatus
read_signature(const Members* const members, void* const data)
{
  State* const state = (State*)data;
  QfTime       start = QF_TIME_ZERO;
  QfKey        key   = {{0, 0}, QF_MAJOR};
  QfStatus     st    = json_read_time(members, "start", true, &start);
  st                 = st ? st : json_read_key(members, "key", true, &key);
  if (st) {
    return st;
  }

  st = qf_score_set_signature(state->score, start, key);
  return st == QF_ERR_RANGE ? json_read_fail(members, "start", "a time within the piece") : st;
}

static QfStatus
read_staff(const Members* const members, void* const data)
{
  static const char* const known[] = {"name", "clef", NULL};

  State* const state = (State*)data;
  const char*  name  = "";
  const char*  word  = "";
  QfStatus     st    = json_read_string(members, "name", false, QF_NAME_SIZE, &name);
  st                 = st ? st : json_read_string(members, "clef", true, 64, &word);
  st                 = st ? st : lesson_keep_unknown(state, members, members->place, known);
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
  st = qf_score_add_staff(state->score, name, (QfClef)clef);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "at most 16 staves") : st;
}

static QfStatus
read_note(const Members* const members, void* const data)
{
  static const char* const known[] = {"id", "start", "duration", "pitch", NULL};

  State* const   state = (State*)data;
  QfScore* const score = state->score;
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
  st = lesson_keep_unknown(state, members, place, known);
  st =
    st ? st
       : qf_score_put_note(score, voice, note.start, note.duration, note.pitch, (uint32_t)id, NULL);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "a note from C-1 to G9") : st;
}

static QfStatus
read_voice(const Members* const members, void* const data)
{
  static const char* const known[] = {"name", "staff", "notes", NULL};

  State* const state    = (State*)data;
  const size_t n_staves = qf_score_n_staves(state->score);
  const char*  name     = "";
  int64_t      staff    = 0;
  if (!n_staves) {
    return json_read_fail(members, NULL, "at least one staff before the voices");
  }

  QfStatus st = json_read_string(members, "name", false, QF_NAME_SIZE, &name);
  st          = st ? st : json_read_int(members, "staff", true, 0, (int64_t)n_staves - 1, &staff);
  st          = st ? st : lesson_keep_unknown(state, members, members->place, known);
  if (st) {
    return st;
  }

  st = qf_score_add_voice(state->score, name, (size_t)staff);
  return st == QF_ERR_RANGE ? json_read_fail(members, NULL, "at most 24 voices")
         : st               ? st
                            : json_read_list(members, "notes", false, read_note, state);
}

static QfStatus
read_fermatas(State* const state, const Members* const members)
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
    const Members      self = {item, place, members->error};
    QfTime             time = QF_TIME_ZERO;
    QfStatus           set  = QF_ERR_RANGE;
    if (json_object_is_type(item, json_type_string) &&
        !qf_time_parse(json_object_get_string(item), &time, NULL)) {
      set = qf_score_set_fermata(state->score, time, true);
    }
    if (set) {
      return set == QF_ERR_RANGE ? json_read_fail(&self, NULL, "a time at which a note starts")
                                 : set;
    }
  }
  return QF_OK;
}

QfStatus
lesson_read_score(State* const state, const Members* const members)
{
  QfStatus st = json_read_list(members, "bars", true, read_bar, state);
  if (!st && !qf_score_n_bars(state->score)) {
    st = json_read_fail(members, "bars", "at least one bar");
  }
  st = st ? st : json_read_list(members, "signatures", false, read_signature, state);
  st = st ? st : json_read_list(members, "staves", true, read_staff, state);
  st = st ? st : json_read_list(members, "voices", true, read_voice, state);
  if (!st && !qf_score_n_voices(state->score)) {
    st = json_read_fail(members, "voices", "at least one voice");
  }
  return st ? st : read_fermatas(state, members);
}
