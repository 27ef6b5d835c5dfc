// SPDX-License-Identifier: MIT
#include "command.h"

#include "json_out.h"
#include "options.h"

#include "quintfall/drill.h"
#include "quintfall/text.h"

#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf drill --kind KIND|--on CONCEPT --seed N [--level L] [--as text|json] [-o OUT]\n\n"
  "Make a short drill: something to hear, a question, its answer and the reason.\n\n"
  "  --kind KIND   quality, function, target, circle, resolution or inversion\n"
  "  --on CONCEPT  what the drill must be about, such as target/ii\n"
  "  --seed N      any whole number; the same one gives the same drill\n"
  "  --level L     1 to 5, 1 unless given\n"
  "  --as json     with the notes by voice\n";

typedef struct {
  const char* output;
  QfDrillKind kind;
  bool        has_kind;
  const char* concept;
  int      level;
  uint64_t seed;
  bool     has_seed;
  int      form; ///< Index in text_or_json
} Options;

static QfStatus
take_kind(const Option* const option, const char* const text, QfError* const error)
{
  return qf_drill_kind_parse(text, (QfDrillKind*)option->target, error);
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  const Option list[] = {
    {"kind", take_kind, &options->kind, &options->has_kind},
    {"on", take_text, &options->concept},
    {"seed", take_seed, &options->seed, &options->has_seed},
    {"level", take_whole, &options->level, .low = 1.0, .high = QF_DRILL_N_LEVELS},
    {"as", take_word, &options->form, .words = text_or_json},
    {"output", take_text, &options->output},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early < 0 &&
      (argc != first || options->has_kind == (options->concept != NULL) || !options->has_seed)) {
    return (int)usage_error(usage, "drill takes --kind KIND or --on CONCEPT, and --seed N");
  }
  return early;
}

static json_object*
new_voice(const QfScore* const score, const size_t voice)
{
  json_object* const list = json_object_new_array();
  for (size_t i = 0; i < qf_score_n_notes(score, voice); ++i) {
    const QfNote* const note   = qf_score_get_note(score, voice, i);
    json_object* const  object = json_object_new_object();
    char                pitch[16];
    qf_pitch_write(note->pitch, pitch, sizeof(pitch));
    json_add_text(object, "pitch", pitch);
    json_add_time(object, "start", note->start);
    json_add_time(object, "duration", note->duration);
    json_object_array_add(list, object);
  }
  return list;
}

static char*
drill_to_json(const QfDrill* const drill)
{
  json_object* const root     = json_object_new_object();
  json_object* const voices   = json_object_new_array();
  json_object* const concepts = json_object_new_array();
  char               key[16];
  char               pitch[16];
  qf_key_write(drill->key, key, sizeof(key));
  json_add_text(root, "kind", qf_drill_kind_id(drill->kind));
  json_object_object_add(root, "level", json_object_new_int(drill->level));
  json_add_text(root, "key", key);
  json_add_text(root, "question", drill->question);
  if (drill->form == QF_DRILL_ANSWER_CHOICE) {
    json_object* const choices = json_object_new_array();
    for (size_t i = 0; i < drill->n_choices; ++i) {
      json_object_array_add(choices, json_object_new_string(drill->choices[i]));
    }
    json_object_object_add(root, "choices", choices);
    json_add_text(root, "answer", drill->choices[drill->right]);
  } else {
    qf_pitch_write(drill->start, pitch, sizeof(pitch));
    json_add_text(root, "from", pitch);
    qf_pitch_write(drill->pitch, pitch, sizeof(pitch));
    json_add_text(root, "answer", pitch);
  }
  json_add_text(root, "explanation", drill->explanation);
  for (size_t i = 0; i < drill->n_concepts; ++i) {
    json_object_array_add(concepts, json_object_new_string(drill->concepts[i]));
  }
  json_object_object_add(root, "concepts", concepts);
  for (size_t v = 0; v < qf_score_n_voices(drill->score); ++v) {
    json_object_array_add(voices, new_voice(drill->score, v));
  }
  json_object_object_add(root, "voices", voices);
  return json_take_text(root);
}

static char*
drill_to_text(const QfDrill* const drill)
{
  QfText text = {0};
  for (size_t v = 0; v < qf_score_n_voices(drill->score); ++v) {
    qf_text_addf(&text, "%-8s", qf_score_get_voice(drill->score, v)->name);
    for (size_t i = 0; i < qf_score_n_notes(drill->score, v); ++i) {
      char pitch[16];
      qf_pitch_write(qf_score_get_note(drill->score, v, i)->pitch, pitch, sizeof(pitch));
      qf_text_addf(&text, " %-5s", pitch);
    }
    qf_text_add(&text, "\n");
  }
  qf_text_addf(&text, "\n%s\n", drill->question);
  for (size_t i = 0; i < drill->n_choices; ++i) {
    qf_text_addf(&text, "  %s\n", drill->choices[i]);
  }
  if (drill->form == QF_DRILL_ANSWER_CHOICE) {
    qf_text_addf(&text, "\nAnswer: %s\n", drill->choices[drill->right]);
  } else {
    char pitch[16];
    qf_pitch_write(drill->pitch, pitch, sizeof(pitch));
    qf_text_addf(&text, "\nAnswer: %s\n", pitch);
  }
  qf_text_addf(&text, "%s\n", drill->explanation);
  return qf_text_take(&text);
}

QfExit
drill_command(int argc, char** argv)
{
  Options   options = {.level = 1};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  QfError        error = {0};
  QfDrill        drill = {0};
  const QfStatus st =
    options.concept
      ? qf_drill_make_on(options.concept, options.level, options.seed, QF_NAMING_ENGLISH, &drill,
                         &error)
      : qf_drill_make(options.kind, options.level, options.seed, QF_NAMING_ENGLISH, &drill, &error);
  if (st) {
    return fail(&error, options.concept ? "--on" : "--kind");
  }
  const QfExit result =
    write_text(options.output, options.form ? drill_to_json(&drill) : drill_to_text(&drill));
  qf_drill_clear(&drill);
  return result;
}
