// SPDX-License-Identifier: MIT
#include "command.h"

#include "json_out.h"

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
  const char* concept;
  double level;
  double seed;
  bool   is_json;
} Options;

enum {
  UNSET = -1,
};

// Larger seeds could not be read exactly as a number.
static const double most_seed = 9007199254740992.0;

static bool
take_option(const int c, void* const data)
{
  Options* const options = (Options*)data;
  QfError        error   = {0};
  switch (c) {
    case 'k':
      if (qf_drill_kind_parse(optarg, &options->kind, &error)) {
        fail(&error, "--kind");
        return false;
      }
      return true;
    case 'n':
      options->concept
      = optarg;
      return true;
    case 's':
      return parse_number("--seed", optarg, 0.0, most_seed, &options->seed);
    case 'l':
      return parse_number("--level", optarg, 1.0, QF_DRILL_N_LEVELS, &options->level);
    case 'a':
      return parse_text_or_json(usage, optarg, &options->is_json);
    case 'o':
      options->output = optarg;
      return true;
    default:
      usage_error(usage, "option not understood");
      return false;
  }
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
  static const struct option table[] = {
    {"kind", required_argument, NULL, 'k'},   {"seed", required_argument, NULL, 's'},
    {"level", required_argument, NULL, 'l'},  {"as", required_argument, NULL, 'a'},
    {"output", required_argument, NULL, 'o'}, {"on", required_argument, NULL, 'n'},
    {"help", no_argument, NULL, 'h'},         {NULL, 0, NULL, 0},
  };
  Options   options = {.kind = QF_DRILL_N_KINDS, .level = 1.0, .seed = UNSET};
  const int early =
    take_options(argc, argv, (OptionTable){"k:n:s:l:a:o:h", table, usage}, take_option, &options);
  if (early >= 0) {
    return (QfExit)early;
  }
  if (argc != optind || (options.kind == QF_DRILL_N_KINDS) != !!options.concept ||
      options.seed < 0.0) {
    return usage_error(usage, "drill takes --kind KIND or --on CONCEPT, and --seed N");
  }

  QfError        error = {0};
  QfDrill        drill = {0};
  const int      level = (int)options.level;
  const uint64_t seed  = (uint64_t)options.seed;
  const QfStatus st =
    options.concept
      ? qf_drill_make_on(options.concept, level, seed, QF_NAMING_ENGLISH, &drill, &error)
      : qf_drill_make(options.kind, level, seed, QF_NAMING_ENGLISH, &drill, &error);
  if (st) {
    return fail(&error, NULL);
  }
  char* const  text   = options.is_json ? drill_to_json(&drill) : drill_to_text(&drill);
  const QfExit result = text ? write_output(options.output, text, strlen(text)) : QF_EXIT_MACHINE;
  free(text);
  qf_drill_clear(&drill);
  return result;
}
