// SPDX-License-Identifier: MIT
// How a lesson is heard and studied: quick hearing, plan, task, rubric and questions.
#include "lesson_read.h"
#include "lesson_words.h"
#include "plan_json.h"
#include "rubric_json.h"
#include "study_json.h"

#include <stdio.h>
#include <stdlib.h>

static QfStatus
read_hearing_members(State* const state, const Members* const members)
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
  st = st ? st : lesson_keep_unknown(state, members, "hearing", known);
  if (st) {
    return st;
  }

  const size_t n_voices = qf_score_n_voices(state->score);
  if (qf_forward_parse(forward, n_voices, &hearing.forward, NULL)) {
    return json_read_fail(members, "forward", "a voice, \"quality\" or \"all\"");
  }
  hearing.repeats         = (int)repeats;
  hearing.program         = (int)program;
  hearing.forward_program = (int)forward_program;
  state->hearing          = hearing;
  return QF_OK;
}

static QfStatus
read_hearing(State* const state, const Members* const members)
{
  const Members hearing = {json_read_member(members, "hearing"), "hearing", members->error};
  if (!hearing.object) {
    return QF_OK;
  }
  return json_object_is_type(hearing.object, json_type_object)
           ? read_hearing_members(state, &hearing)
           : json_read_fail(members, "hearing", "an object");
}

static QfStatus
read_plan(State* const state, const Members* const members)
{
  const Members plan = {json_read_member(members, "plan"), "plan", members->error};
  if (!plan.object) {
    return QF_OK;
  }
  return plan_json_read(&plan, &state->plan);
}

static QfStatus
read_study(State* const state, const Members* const members)
{
  const Members study = {json_read_member(members, "study"), "study", members->error};
  if (!study.object) {
    return QF_OK;
  }
  state->has_study  = true;
  const QfStatus st = study_json_read(&study, &state->study);
  return st ? st : lesson_keep_unknown(state, &study, "study", study_members);
}

static QfStatus
read_rubric(State* const state, const Members* const members)
{
  const Members rubric = {json_read_member(members, "rubric"), "rubric", members->error};
  if (!rubric.object) {
    return QF_OK;
  }
  state->has_rubric = true;
  const QfStatus st = rubric_json_read(&rubric, &state->rubric);
  return st ? st : lesson_keep_unknown(state, &rubric, "rubric", rubric_members);
}

static QfStatus
read_question(State* const         state,
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
  return lesson_keep_unknown(state, members, place, question_members);
}

static QfStatus
read_questions(State* const state, const Members* const members)
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
    const Members item = {json_object_array_get_idx(array, i), place, members->error};
    st                 = read_question(state, &item, questions, i);
  }
  if (!st) {
    state->questions = questions_new(questions, n_items);
    st               = state->questions ? QF_OK : QF_ERR_NO_MEM;
  }
  free(questions);
  return st;
}

QfStatus
lesson_read_settings(State* const state, const Members* const members)
{
  QfStatus st = read_hearing(state, members);
  st          = st ? st : read_plan(state, members);
  st          = st ? st : read_study(state, members);
  st          = st ? st : read_rubric(state, members);
  return st ? st : read_questions(state, members);
}
