// SPDX-License-Identifier: MIT
#include "command.h"
#include "options.h"

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
  const char* lesson;
  bool        has_layers;
  unsigned    layers;
  int         hearings; ///< Negative leaves the lesson's
  int         attempts;
  const char* output;
} Options;

/// Read "bass,numeral"
static QfStatus
take_layers(const Option* const option, const char* text, QfError* const error)
{
  unsigned layers = 0;
  do {
    char         word[24] = "";
    const size_t length   = strcspn(text, ",");
    QfLayer      layer    = QF_LAYER_BASS;
    memcpy(word, text, length < sizeof(word) ? length : sizeof(word) - 1U);
    const QfStatus st = qf_layer_parse(word, &layer, error);
    if (st) {
      return st;
    }
    layers |= 1U << (unsigned)layer;
    text += length;
  } while (*text++);

  *(unsigned*)option->target = layers;
  return QF_OK;
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  const Option list[] = {
    {"layers", take_layers, &options->layers, &options->has_layers},
    {"hearings", take_whole, &options->hearings, .low = 0.0, .high = QF_MAX_HEARINGS},
    {"attempts", take_whole, &options->attempts, .low = 0.0, .high = QF_MAX_ATTEMPTS},
    {"output", take_text, &options->output},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early < 0 && argc - first != 1) {
    return (int)usage_error(usage, "task takes one LESSON");
  }
  options->lesson = early < 0 ? argv[first] : NULL;
  return early;
}

static QfStatus
set_task(QfLesson* const lesson, const Options* const options, QfError* const error)
{
  QfStudy study      = qf_lesson_get_study(lesson);
  study.layers       = options->has_layers ? options->layers : study.layers;
  study.max_hearings = options->hearings >= 0 ? options->hearings : study.max_hearings;
  study.max_attempts = options->attempts >= 0 ? options->attempts : study.max_attempts;
  return qf_lesson_set_study(lesson, study, error);
}

QfExit
task_command(int argc, char** argv)
{
  Options   options = {.hearings = -1, .attempts = -1};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  QfLesson* lesson = NULL;
  QfAnswer* task   = NULL;
  char*     json   = NULL;
  QfError   error  = {0};
  QfExit    result = open_document(options.lesson, &lesson);
  if (result) {
    return result;
  }
  QfStatus st = set_task(lesson, &options, &error);
  st          = st ? st : qf_answer_new(lesson, &task, &error);
  st          = st ? st : qf_answer_to_json(task, &json, &error);
  result      = st ? fail(&error, options.lesson) : write_text(options.output, json);
  qf_answer_free(task);
  qf_lesson_free(lesson);
  return result;
}
