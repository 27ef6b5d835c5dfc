// SPDX-License-Identifier: MIT
#include "plan_json.h"

#include "json_text.h"
#include "json_unknown.h"
#include "json_write.h"
#include "plan_unknown.h"

#include "quintfall/file.h"

#include <stdlib.h>
#include <string.h>

static void
add_length(json_object* const object, const char* const name, const QfLength length)
{
  json_object* const value = json_object_new_object();
  json_write_number(value, plan_unit_words[length.unit], length.amount);
  json_write(object, name, value);
}

static void
add_program(json_object* const object, const char* const name, const int program)
{
  json_write(object, name, program == QF_PROGRAM_SAME ? NULL : json_object_new_int(program));
}

static void
add_voice(json_object* const array, const uint8_t voice)
{
  char name[16];
  qf_voice_write(voice, name, sizeof(name));
  json_object_array_add(array, json_text_string(name));
}

static void
add_pass(json_object* const object, const QfPassStep* const pass)
{
  json_object* const voices = json_object_new_array();
  for (uint8_t voice = 0; voice <= QF_VOICE_LOWEST; ++voice) {
    if (pass->voices & QF_VOICE_BIT(voice)) {
      add_voice(voices, voice);
    }
  }
  json_write_text(object, "forward", plan_forward_words[pass->forward]);
  json_write(object, "voices", voices);
  json_write_bool(object, "spread", pass->is_spread);
  json_write_number(object, "tempo_factor", pass->tempo_factor);
  json_write_time(object, "from", pass->from);
  json_write_time(object, "to", pass->to);
  json_write_int(object, "repeats", pass->repeats);
  add_length(object, "gap", pass->gap);
  json_write_number(object, "forward_gain_db", pass->forward_gain_db);
  json_write_number(object, "softening_db", pass->softening_db);
  json_write_number(object, "lead_ms", pass->lead_ms);
  add_program(object, "program", pass->program);
  add_program(object, "forward_program", pass->forward_program);
}

static void
add_sung_gap(json_object* const object, const QfSungGapStep* const gap)
{
  char voice[16];
  qf_voice_write(gap->voice, voice, sizeof(voice));
  json_write_text(object, "voice", voice);
  add_length(object, "length", gap->length);
  json_write_number(object, "tempo_factor", gap->tempo_factor);
  json_write_time(object, "from", gap->from);
  json_write_time(object, "to", gap->to);
}

static json_object*
step_json(const QfPlanStep* const step)
{
  json_object* const object = json_object_new_object();
  json_write_text(object, "step",
                  step->kind == QF_STEP_OTHER ? step->other.word : plan_step_words[step->kind]);
  switch (step->kind) {
    case QF_STEP_PRELUDE:
      json_write_text(object, "kind", plan_prelude_words[step->prelude.kind]);
      json_write_number(object, "beats_per_minute", step->prelude.beats_per_minute);
      add_program(object, "program", step->prelude.program);
      json_write_text(object, "pattern", step->prelude.pattern);
      break;
    case QF_STEP_COUNT_IN:
      json_write_int(object, "bars", step->count_in.bars);
      break;
    case QF_STEP_PASS:
      add_pass(object, &step->pass);
      break;
    case QF_STEP_SILENCE:
      add_length(object, "length", step->silence.length);
      break;
    case QF_STEP_SUNG_GAP:
      add_sung_gap(object, &step->sung_gap);
      break;
    case QF_STEP_TITLE:
      json_write_text(object, "text", step->title.text);
      json_write_text(object, "audio", step->title.audio);
      break;
    case QF_STEP_OTHER: // All else it has is not known, and added after this
    case QF_STEP_N_KINDS:
      break;
  }
  return object;
}

/// Add what was kept with a plan or a step
static void
add_unknown(json_object* const object, const char* const kept)
{
  json_object* const members = kept ? json_tokener_parse(kept) : NULL;
  if (members) {
    json_write_missing(object, members);
    json_object_put(members);
  }
}

void
plan_json_add(json_object* const object, const QfPlan* const plan)
{
  json_object* const steps = json_object_new_array();
  for (size_t i = 0; i < qf_plan_n_steps(plan); ++i) {
    json_object* const step = step_json(qf_plan_get_step(plan, i));
    add_unknown(step, plan_get_unknown(plan, i));
    json_object_array_add(steps, step);
  }
  json_write_text(object, "name", qf_plan_get_name(plan));
  json_write(object, "steps", steps);
  add_unknown(object, plan_get_unknown(plan, SIZE_MAX));
}

QfStatus
qf_plan_to_json(const QfPlan* const plan, char** const json, QfError* const error)
{
  json_object* const object = json_object_new_object();
  if (object) {
    json_write_text(object, "format", PLAN_FORMAT);
    json_write_int(object, "version", PLAN_VERSION);
    plan_json_add(object, plan);
  }
  return json_text_take(object, json, error);
}

QfStatus
qf_plan_save(const QfPlan* const plan, const char* const path, QfError* const error)
{
  char*    json = NULL;
  QfStatus st   = qf_plan_to_json(plan, &json, error);
  st            = st ? st : qf_file_write(path, json, strlen(json), error);
  free(json);
  return st;
}
