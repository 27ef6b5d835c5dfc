// SPDX-License-Identifier: MIT
#include "json_text.h"
#include "json_unknown.h"
#include "json_write.h"
#include "lesson_impl.h"
#include "lesson_words.h"
#include "plan_json.h"
#include "rubric_json.h"
#include "study_json.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

const char* const clef_words[QF_CLEF_N_KINDS] = {
  [QF_CLEF_TREBLE] = "treble", [QF_CLEF_BASS] = "bass",         [QF_CLEF_ALTO] = "alto",
  [QF_CLEF_TENOR] = "tenor",   [QF_CLEF_TREBLE_8] = "treble-8",
};

/// Add the members that were read from the same place without being understood
static void
add_unknown(json_object* const object, const State* const state, const char* const place)
{
  json_write_unknown(object, state->unknown, place);
}

static bool
is_full_bar(const QfBar* const bar)
{
  return bar->offset.num == 0 && !qf_time_compare(bar->length, qf_metre_bar(bar->metre)) &&
         !bar->suffix && !bar->starts_repeat && !bar->ends_repeat;
}

static json_object*
bar_json(const QfBar* const bar, const int expected_number)
{
  json_object* const object    = json_object_new_object();
  const char         suffix[2] = {bar->suffix, '\0'};
  char               metre[48];
  qf_metre_write(bar->metre, metre, sizeof(metre));

  if (bar->number != expected_number) {
    json_write_int(object, "number", bar->number);
  }
  if (bar->suffix) {
    json_write_text(object, "suffix", suffix);
  }
  json_write_text(object, "metre", metre);
  if (qf_time_compare(bar->length, qf_metre_bar(bar->metre))) {
    json_write_time(object, "length", bar->length);
  }
  if (bar->offset.num) {
    json_write_time(object, "offset", bar->offset);
  }
  if (bar->starts_repeat) {
    json_write_bool(object, "starts_repeat", true);
  }
  if (bar->ends_repeat) {
    json_write_bool(object, "ends_repeat", true);
  }
  return object;
}

/// Bars as runs: full bars of one metre with rising numbers share an object with a count
static json_object*
bars_json(const QfScore* const score)
{
  json_object* const array    = json_object_new_array();
  const size_t       n_bars   = qf_score_n_bars(score);
  int                expected = 1;
  for (size_t i = 0; i < n_bars;) {
    const QfBar* const bar    = qf_score_get_bar(score, i);
    json_object* const object = bar_json(bar, expected);
    size_t             count  = 1;
    while (is_full_bar(bar) && i + count < n_bars) {
      const QfBar* const next = qf_score_get_bar(score, i + count);
      if (!is_full_bar(next) || !qf_metre_equals(next->metre, bar->metre) ||
          next->number != bar->number + (int)count) {
        break;
      }
      ++count;
    }
    if (count > 1) {
      json_write_int(object, "count", (int64_t)count);
    }
    json_object_array_add(array, object);
    expected = bar->number + (int)count;
    i += count;
  }
  return array;
}

static json_object*
signatures_json(const State* const state)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < qf_score_n_signatures(state->score); ++i) {
    const QfSignature* const signature = qf_score_get_signature(state->score, i);
    json_object* const       object    = json_object_new_object();
    json_write_time(object, "start", signature->start);
    json_write_key(object, "key", signature->key);
    json_object_array_add(array, object);
  }
  return array;
}

static json_object*
staves_json(const State* const state)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < qf_score_n_staves(state->score); ++i) {
    const QfStaff* const staff  = qf_score_get_staff(state->score, i);
    json_object* const   object = json_object_new_object();
    char                 place[PLACE_SIZE];
    snprintf(place, sizeof(place), "staves[%zu]", i);
    json_write_text(object, "name", staff->name);
    json_write_text(object, "clef", clef_words[staff->clef]);
    add_unknown(object, state, place);
    json_object_array_add(array, object);
  }
  return array;
}

static json_object*
note_json(const State* const state, const QfNote* const note)
{
  json_object* const object = json_object_new_object();
  char               pitch[16];
  char               place[PLACE_SIZE];
  qf_pitch_write(note->pitch, pitch, sizeof(pitch));
  snprintf(place, sizeof(place), "note %" PRIu32, note->id);
  json_write_int(object, "id", note->id);
  json_write_time(object, "start", note->start);
  json_write_time(object, "duration", note->duration);
  json_write_text(object, "pitch", pitch);
  add_unknown(object, state, place);
  return object;
}

static json_object*
voices_json(const State* const state)
{
  json_object* const array = json_object_new_array();
  for (size_t v = 0; v < qf_score_n_voices(state->score); ++v) {
    const QfVoice* const voice  = qf_score_get_voice(state->score, v);
    json_object* const   object = json_object_new_object();
    json_object* const   notes  = json_object_new_array();
    char                 place[PLACE_SIZE];
    snprintf(place, sizeof(place), "voices[%zu]", v);
    for (size_t i = 0; i < qf_score_n_notes(state->score, v); ++i) {
      json_object_array_add(notes, note_json(state, qf_score_get_note(state->score, v, i)));
    }
    json_write_text(object, "name", voice->name);
    json_write_int(object, "staff", voice->staff);
    json_write(object, "notes", notes);
    add_unknown(object, state, place);
    json_object_array_add(array, object);
  }
  return array;
}

static json_object*
fermatas_json(const QfScore* const score)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < qf_score_n_fermatas(score); ++i) {
    char text[48];
    qf_time_write(qf_score_get_fermata(score, i), text, sizeof(text));
    json_object_array_add(array, json_text_string(text));
  }
  return array;
}

static json_object*
pins_json(const State* const state)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < state->n_pins; ++i) {
    const QfPin* const pin    = &state->pins[i];
    json_object* const object = json_object_new_object();
    char               numeral[QF_NUMERAL_TEXT_SIZE];
    qf_numeral_write(&pin->numeral, pin->key.mode, numeral, sizeof(numeral));
    json_write_time(object, "start", pin->start);
    json_write_key(object, "key", pin->key);
    json_write_text(object, "numeral", numeral);
    json_object_array_add(array, object);
  }
  return array;
}

static json_object*
givens_json(const State* const state)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < state->n_givens; ++i) {
    json_object_array_add(array, json_object_new_int64(state->givens[i]));
  }
  return array;
}

static json_object*
hearing_json(const State* const state)
{
  const QfHearing    hearing = state->hearing;
  json_object* const object  = json_object_new_object();
  char               forward[32];
  qf_forward_write(hearing.forward, qf_score_n_voices(state->score), forward, sizeof(forward));
  json_write_text(object, "forward", forward);
  json_write_bool(object, "spread", hearing.is_spread);
  json_write_number(object, "tempo_factor", hearing.tempo_factor);
  json_write_bool(object, "prelude", hearing.has_prelude);
  json_write_bool(object, "count_in", hearing.has_count_in);
  json_write_int(object, "repeats", hearing.repeats);
  json_write_number(object, "gap_beats", hearing.gap_beats);
  json_write_number(object, "softening_db", hearing.softening_db);
  json_write_number(object, "forward_gain_db", hearing.forward_gain_db);
  json_write_number(object, "lead_ms", hearing.lead_ms);
  json_write_number(object, "level_db", hearing.level_db);
  json_write_int(object, "program", hearing.program);
  json_write(object, "forward_program",
             hearing.forward_program == QF_PROGRAM_SAME
               ? NULL
               : json_object_new_int(hearing.forward_program));
  add_unknown(object, state, "hearing");
  return object;
}

static json_object*
plan_json(const State* const state)
{
  json_object* const object = json_object_new_object();
  plan_json_add(object, state->plan);
  return object;
}

static json_object*
study_json(const State* const state)
{
  json_object* const object = json_object_new_object();
  study_json_add(object, state->study);
  add_unknown(object, state, "study");
  return object;
}

static json_object*
rubric_json(const State* const state)
{
  json_object* const object = json_object_new_object();
  rubric_json_add(object, &state->rubric);
  add_unknown(object, state, "rubric");
  return object;
}

static json_object*
questions_json(const State* const state)
{
  json_object* const array = json_object_new_array();
  for (size_t i = 0; i < state->questions->n_questions; ++i) {
    const QfQuestion* const question = &state->questions->questions[i];
    json_object* const      object   = json_object_new_object();
    char                    place[PLACE_SIZE];
    snprintf(place, sizeof(place), "question %s", question->id);
    question_json_add(object, question);
    add_unknown(object, state, place);
    json_object_array_add(array, object);
  }
  return array;
}

static json_object*
lesson_json(const QfLesson* const lesson)
{
  const State* const   state  = lesson->state;
  const QfScore* const score  = state->score;
  json_object* const   object = json_object_new_object();
  if (!object) {
    return NULL;
  }

  json_write_text(object, "format", LESSON_FORMAT);
  json_write_int(object, "version", lesson->version);
  json_write_text(object, "title", qf_score_get_title(score));
  json_write_text(object, "composer", qf_score_get_composer(score));
  json_write_text(object, "remarks", state->remarks);
  if (state->has_key) {
    json_write_key(object, "key", state->key);
  } else {
    json_write(object, "key", NULL);
  }
  json_write_bool(object, "may_modulate", state->may_modulate);
  if (state->thresholds.least_beats > 0.0) {
    json_write_number(object, "modulation_beats", state->thresholds.least_beats);
  }
  if (state->thresholds.cadence_beats > 0.0) {
    json_write_number(object, "cadence_beats", state->thresholds.cadence_beats);
  }
  json_write_number(object, "tempo", qf_score_get_tempo(score));
  json_write(object, "bars", bars_json(score));
  json_write(object, "signatures", signatures_json(state));
  json_write(object, "staves", staves_json(state));
  json_write(object, "voices", voices_json(state));
  if (qf_score_n_fermatas(score)) {
    json_write(object, "fermatas", fermatas_json(score));
  }
  json_write(object, "pins", pins_json(state));
  json_write(object, "givens", givens_json(state));
  json_write(object, "hearing", hearing_json(state));
  if (state->plan) {
    json_write(object, "plan", plan_json(state));
  }
  if (state->has_study) {
    json_write(object, "study", study_json(state));
  }
  if (state->has_rubric) {
    json_write(object, "rubric", rubric_json(state));
  }
  if (state->questions) {
    json_write(object, "questions", questions_json(state));
  }
  add_unknown(object, state, "");
  return object;
}

QfStatus
qf_lesson_to_json(const QfLesson* const lesson, char** const json, QfError* const error)
{
  return json_text_take(lesson_json(lesson), json, error);
}
