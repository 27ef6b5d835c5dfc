// SPDX-License-Identifier: MIT
#include "plan_json.h"

#include "json_unknown.h"
#include "plan_text.h"
#include "plan_unknown.h"

#include "quintfall/file.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_PLACE     = 64,
  N_MAX_MEMBERS = 16,
};

// A plan of its own has a format and a version as well.
static const char* const plan_members[] = {"format", "version", "name", "steps", NULL};

/// Members that each kind of step has, ended by NULL
static const char* const step_members[QF_STEP_N_KINDS][N_MAX_MEMBERS] = {
  [QF_STEP_PRELUDE]  = {"step", "kind", "beats_per_minute", "program", "pattern"},
  [QF_STEP_COUNT_IN] = {"step", "bars"},
  [QF_STEP_PASS] = {"step", "forward", "voices", "spread", "tempo_factor", "from", "to", "repeats",
                    "gap", "forward_gain_db", "softening_db", "lead_ms", "program",
                    "forward_program"},
  [QF_STEP_SILENCE]  = {"step", "length"},
  [QF_STEP_SUNG_GAP] = {"step", "voice", "length", "tempo_factor", "from", "to"},
  [QF_STEP_TITLE]    = {"step", "text", "audio"},
  [QF_STEP_OTHER]    = {"step"},
};

/// Read one of a list of words; a member that is missing leaves `result` as it was
static QfStatus
read_word(const Members* const     members,
          const char* const        name,
          const bool               is_needed,
          const char* const* const words,
          const int                n_words,
          int* const               result)
{
  const char* word = NULL;
  QfStatus    st   = json_read_string(members, name, is_needed, MAX_PLACE, &word);
  if (st || !word) {
    return st;
  }
  for (int i = 0; i < n_words; ++i) {
    if (!strcmp(word, words[i])) {
      *result = i;
      return QF_OK;
    }
  }

  char   expected[160] = "one of";
  size_t length        = strlen(expected);
  for (int i = 0; i < n_words && length < sizeof(expected); ++i) {
    const int n = snprintf(expected + length, sizeof(expected) - length, " \"%s\"", words[i]);
    length += n > 0 ? (size_t)n : 0U;
  }
  return json_read_fail(members, name, expected);
}

static QfStatus
read_length(const Members* const members, const char* const name, QfLength* const length)
{
  char          place[MAX_PLACE];
  const Members self = {json_read_member(members, name), place, members->error};
  snprintf(place, sizeof(place), "%s.%s", members->place, name);
  if (!self.object) {
    return QF_OK;
  }
  if (!json_object_is_type(self.object, json_type_object) ||
      !json_read_member(&self, plan_unit_words[QF_UNIT_BEATS]) ==
        !json_read_member(&self, plan_unit_words[QF_UNIT_SECONDS])) {
    return json_read_fail(members, name, "either {\"beats\": 4} or {\"seconds\": 4}");
  }
  length->unit =
    json_read_member(&self, plan_unit_words[QF_UNIT_BEATS]) ? QF_UNIT_BEATS : QF_UNIT_SECONDS;
  return json_read_number(&self, plan_unit_words[length->unit], 0.0, 600.0, &length->amount);
}

/// Null and missing both mean the same program
static QfStatus
read_program(const Members* const members, const char* const name, int* const program)
{
  int64_t        value = QF_PROGRAM_SAME;
  const QfStatus st    = json_read_int(members, name, false, 0, 127, &value);
  *program             = (int)value;
  return st;
}

static QfStatus
read_voices(const Members* const members, uint32_t* const voices)
{
  json_object*   array = NULL;
  const QfStatus st    = json_read_array(members, "voices", false, &array);
  if (st || !array) {
    return st;
  }

  *voices = 0;
  for (size_t i = 0; i < json_object_array_length(array); ++i) {
    json_object* const item  = json_object_array_get_idx(array, i);
    uint8_t            voice = 0;
    if (!json_object_is_type(item, json_type_string) ||
        qf_voice_parse(json_object_get_string(item), &voice, NULL)) {
      return json_read_fail(members, "voices", "a list of voices such as \"bass\" or \"voice 5\"");
    }
    *voices |= QF_VOICE_BIT(voice);
  }
  return QF_OK;
}

static QfStatus
read_voice(const Members* const members, uint8_t* const voice)
{
  const char*    text = NULL;
  const QfStatus st   = json_read_string(members, "voice", false, MAX_PLACE, &text);
  if (st || !text) {
    return st;
  }
  return qf_voice_parse(text, voice, NULL)
           ? json_read_fail(members, "voice", "a voice such as \"bass\" or \"voice 5\"")
           : QF_OK;
}

static QfStatus
read_prelude(const Members* const members, QfPreludeStep* const prelude)
{
  int      kind = (int)prelude->kind;
  QfStatus st   = read_word(members, "kind", false, plan_prelude_words, QF_PRELUDE_N_KINDS, &kind);
  st =
    st ? st : json_read_number(members, "beats_per_minute", 0.0, 300.0, &prelude->beats_per_minute);
  st            = st ? st : read_program(members, "program", &prelude->program);
  prelude->kind = (QfPreludeKind)kind;
  return st ? st
            : json_read_text_into(members, "pattern", prelude->pattern, sizeof(prelude->pattern));
}

static QfStatus
read_pass(const Members* const members, QfPassStep* const pass)
{
  int      forward = (int)pass->forward;
  int64_t  repeats = pass->repeats;
  QfStatus st =
    read_word(members, "forward", false, plan_forward_words, PLAN_N_FORWARD_WORDS, &forward);
  st = st ? st : read_voices(members, &pass->voices);
  st = st ? st : json_read_bool(members, "spread", &pass->is_spread);
  st = st ? st : json_read_number(members, "tempo_factor", 0.25, 2.0, &pass->tempo_factor);
  st = st ? st : json_read_time(members, "from", false, &pass->from);
  st = st ? st : json_read_time(members, "to", false, &pass->to);
  st = st ? st : json_read_int(members, "repeats", false, 1, 20, &repeats);
  st = st ? st : read_length(members, "gap", &pass->gap);
  st = st ? st : json_read_number(members, "forward_gain_db", 0.0, 9.0, &pass->forward_gain_db);
  st = st ? st : json_read_number(members, "softening_db", 0.0, 30.0, &pass->softening_db);
  st = st ? st : json_read_number(members, "lead_ms", 0.0, 80.0, &pass->lead_ms);
  st = st ? st : read_program(members, "program", &pass->program);
  st = st ? st : read_program(members, "forward_program", &pass->forward_program);
  pass->forward = (QfForwardKind)forward;
  pass->repeats = (int)repeats;
  return st;
}

static QfStatus
read_sung_gap(const Members* const members, QfSungGapStep* const gap)
{
  QfStatus st = read_voice(members, &gap->voice);
  st          = st ? st : read_length(members, "length", &gap->length);
  st          = st ? st : json_read_number(members, "tempo_factor", 0.25, 2.0, &gap->tempo_factor);
  st          = st ? st : json_read_time(members, "from", false, &gap->from);
  return st ? st : json_read_time(members, "to", false, &gap->to);
}

static QfStatus
read_count_in(const Members* const members, QfCountInStep* const count_in)
{
  int64_t        bars = count_in->bars;
  const QfStatus st   = json_read_int(members, "bars", false, 1, 8, &bars);
  count_in->bars      = (int)bars;
  return st;
}

static QfStatus
read_title(const Members* const members, QfTitleStep* const title)
{
  const QfStatus st = json_read_text_into(members, "text", title->text, sizeof(title->text));
  return st ? st : json_read_text_into(members, "audio", title->audio, sizeof(title->audio));
}

/// What kind of step a word names; one that is not known is kept by its word
static QfStatus
read_kind(const Members* const members, QfPlanStep* const step)
{
  const char* word = "";
  QfStatus    st   = json_object_is_type(members->object, json_type_object)
                       ? json_read_string(members, "step", true, QF_PLAN_WORD_SIZE, &word)
                       : json_read_fail(members, NULL, "an object");
  if (st) {
    return st;
  }

  int kind = 0;
  while (kind < QF_STEP_OTHER && strcmp(word, plan_step_words[kind]) != 0) {
    ++kind;
  }
  *step = qf_plan_step_default((QfStepKind)kind);
  if (step->kind == QF_STEP_OTHER) {
    plan_text_copy(step->other.word, sizeof(step->other.word), word);
  }
  return QF_OK;
}

static QfStatus
read_step(const Members* const members, QfPlanStep* const step)
{
  const QfStatus st = read_kind(members, step);
  if (st) {
    return st;
  }
  switch (step->kind) {
    case QF_STEP_PRELUDE:
      return read_prelude(members, &step->prelude);
    case QF_STEP_COUNT_IN:
      return read_count_in(members, &step->count_in);
    case QF_STEP_PASS:
      return read_pass(members, &step->pass);
    case QF_STEP_SILENCE:
      return read_length(members, "length", &step->silence.length);
    case QF_STEP_SUNG_GAP:
      return read_sung_gap(members, &step->sung_gap);
    case QF_STEP_TITLE:
      return read_title(members, &step->title);
    case QF_STEP_OTHER:
    case QF_STEP_N_KINDS:
      break;
  }
  return QF_OK;
}

/// Keep the members of a step, or of the plan itself, that are not known
static QfStatus
keep_unknown(QfPlan* const            plan,
             const size_t             step,
             json_object* const       object,
             const char* const* const known)
{
  static const char* const lengths[] = {"beats", "seconds", NULL};

  json_object* kept = NULL;
  QfStatus     st   = json_pick_unknown(object, known, lengths, &kept);
  if (!st && kept) {
    const char* const text = json_object_to_json_string_ext(kept, JSON_C_TO_STRING_PLAIN);
    st                     = text ? plan_set_unknown(plan, step, text) : QF_ERR_NO_MEM;
    json_object_put(kept);
  }
  return st;
}

static QfStatus
add_step(QfPlan* const plan, const Members* const members)
{
  QfPlanStep step;
  QfStatus   st = read_step(members, &step);
  st            = st ? st : qf_plan_insert_step(plan, SIZE_MAX, step);
  return st ? st
            : keep_unknown(plan, qf_plan_n_steps(plan) - 1U, members->object,
                           step_members[step.kind]);
}

static QfStatus
read_steps(const Members* const members, QfPlan* const plan)
{
  json_object*   array = NULL;
  const QfStatus st    = json_read_array(members, "steps", true, &array);
  if (st) {
    return st;
  }

  for (size_t i = 0; i < json_object_array_length(array); ++i) {
    char          place[MAX_PLACE];
    const Members self = {json_object_array_get_idx(array, i), place, members->error};
    snprintf(place, sizeof(place), "%s%ssteps[%zu]", members->place, members->place[0] ? "." : "",
             i);
    const QfStatus item = add_step(plan, &self);
    if (item) {
      return item == QF_ERR_RANGE ? json_read_fail(members, "steps", "at most 64 steps") : item;
    }
  }
  return QF_OK;
}

QfStatus
plan_json_read(const Members* const members, QfPlan** const result)
{
  if (!json_object_is_type(members->object, json_type_object)) {
    return json_read_fail(members, NULL, "an object that holds a hearing plan");
  }

  const char* name = "";
  QfStatus    st   = json_read_string(members, "name", false, QF_PLAN_NAME_SIZE, &name);
  if (st) {
    return st;
  }
  QfPlan* const plan = qf_plan_new(name);
  st                 = plan ? read_steps(members, plan) : QF_ERR_NO_MEM;
  st                 = st ? st : keep_unknown(plan, SIZE_MAX, members->object, plan_members);
  if (st) {
    qf_plan_free(plan);
    return st;
  }
  *result = plan;
  return QF_OK;
}

QfStatus
qf_plan_from_json(const char* const json,
                  const size_t      length,
                  QfPlan** const    result,
                  QfError* const    error)
{
  json_object* document = NULL;
  QfStatus     st       = json_read_text(json, length, &document, error);
  if (st) {
    return st;
  }

  const Members members = {document, "", error};
  const char*   format  = "";
  int64_t       version = 0;
  if (!json_object_is_type(document, json_type_object)) {
    st = json_read_fail(&members, NULL, "an object that holds a hearing plan");
  }
  st = st ? st : json_read_string(&members, "format", true, MAX_PLACE, &format);
  if (!st && strcmp(format, PLAN_FORMAT)) {
    st = json_read_fail(&members, "format", "\"" PLAN_FORMAT "\"");
  }
  st = st ? st : json_read_int(&members, "version", true, 1, PLAN_VERSION, &version);
  st = st ? st : plan_json_read(&members, result);
  json_object_put(document);
  return st;
}

QfStatus
qf_plan_load(const char* const path, QfPlan** const result, QfError* const error)
{
  void*    data   = NULL;
  size_t   length = 0;
  QfStatus st     = qf_file_read(path, &data, &length, error);
  st              = st ? st : qf_plan_from_json((const char*)data, length, result, error);
  free(data);
  return st;
}
