// SPDX-License-Identifier: MIT
#include "command.h"

#include "quintfall/answer.h"

#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf task LESSON [--layers LAYER,...] [--hearings N] [--attempts N] [-o OUT]\n\n"
  "Make a task of LESSON to hand out: an answer file that nobody has begun. It shows the frame;\n"
  "the lesson itself is packed inside, so that it can be heard. This is no lock.\n\n"
  "  --layers LAYER,...  ask for these only: bass, soprano, quality, numeral, inner\n"
  "  --hearings N        limit the hearings; 0 sets no limit\n"
  "  --attempts N        limit the attempts; 0 sets no limit\n";

typedef struct {
  const char* layers;
  double      hearings; ///< Negative leaves the lesson's
  double      attempts;
  const char* output;
} Options;

static bool
take_option(const int c, void* const data)
{
  Options* const options = (Options*)data;
  switch (c) {
    case 'l':
      options->layers = optarg;
      return true;
    case 'n':
      return parse_number("--hearings", optarg, 0.0, QF_MAX_HEARINGS, &options->hearings);
    case 't':
      return parse_number("--attempts", optarg, 0.0, QF_MAX_ATTEMPTS, &options->attempts);
    case 'o':
      options->output = optarg;
      return true;
    default:
      usage_error(usage, "option not understood");
      return false;
  }
}

/// Read "bass,numeral"
static QfStatus
parse_layers(const char* text, unsigned* const layers, QfError* const error)
{
  *layers = 0;
  while (*text) {
    char         word[24];
    const size_t length = strcspn(text, ",");
    QfLayer      layer  = QF_LAYER_BASS;
    memset(word, 0, sizeof(word));
    memcpy(word, text, length < sizeof(word) ? length : sizeof(word) - 1U);
    const QfStatus st = qf_layer_parse(word, &layer, error);
    if (st) {
      return st;
    }
    *layers |= 1U << (unsigned)layer;
    text += length + (text[length] == ',');
  }
  return QF_OK;
}

static QfStatus
set_task(QfLesson* const lesson, const Options* const options, QfError* const error)
{
  QfStudy  study = qf_lesson_get_study(lesson);
  QfStatus st    = options->layers ? parse_layers(options->layers, &study.layers, error) : QF_OK;
  study.max_hearings = options->hearings >= 0.0 ? (int)options->hearings : study.max_hearings;
  study.max_attempts = options->attempts >= 0.0 ? (int)options->attempts : study.max_attempts;
  return st ? st : qf_lesson_set_study(lesson, study, error);
}

QfExit
task_command(int argc, char** argv)
{
  static const struct option table[] = {
    {"layers", required_argument, NULL, 'l'},   {"hearings", required_argument, NULL, 'n'},
    {"attempts", required_argument, NULL, 't'}, {"output", required_argument, NULL, 'o'},
    {"help", no_argument, NULL, 'h'},           {NULL, 0, NULL, 0},
  };

  Options   options = {.hearings = -1.0, .attempts = -1.0};
  const int early =
    take_options(argc, argv, (OptionTable){"l:n:t:o:h", table, usage}, take_option, &options);
  if (early >= 0) {
    return (QfExit)early;
  }
  if (argc - optind != 1) {
    return usage_error(usage, "task takes one LESSON");
  }

  QfLesson* lesson = NULL;
  QfAnswer* task   = NULL;
  char*     json   = NULL;
  QfError   error  = {0};
  QfExit    result = open_document(argv[optind], &lesson);
  if (result) {
    return result;
  }
  QfStatus st = set_task(lesson, &options, &error);
  st          = st ? st : qf_answer_new(lesson, &task, &error);
  st          = st ? st : qf_answer_to_json(task, &json, &error);
  result      = st ? fail(&error, argv[optind]) : write_output(options.output, json, strlen(json));
  free(json);
  qf_answer_free(task);
  qf_lesson_free(lesson);
  return result;
}
