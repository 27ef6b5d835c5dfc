// SPDX-License-Identifier: MIT
#include "command.h"
#include "json_out.h"
#include "options.h"

#include "quintfall/leading.h"
#include "quintfall/text.h"

#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf questions LESSON [--as text|json] [--keep] [-o OUT]\n\n"
  "List the leading questions of LESSON in the order they are asked, with hints and accepted\n"
  "answers. They are made of its analysis; what the teacher edited, dropped or added is kept.\n\n"
  "  --as text|json  json has every member of a question\n"
  "  --keep          write the lesson with its questions, instead of a list\n"
  "  -o OUT          write to a file\n";

typedef struct {
  const char* lesson;
  int         form; ///< Index in text_or_json
  bool        is_kept;
  const char* output;
} Options;

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  const Option list[] = {
    {"as", take_word, &options->form, .words = text_or_json},
    {"keep", take_flag, &options->is_kept},
    {"output", take_text, &options->output},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early < 0 && argc - first != 1) {
    return (int)usage_error(usage, "questions takes one LESSON");
  }
  options->lesson = early < 0 ? argv[first] : NULL;
  return early;
}

static char*
questions_text(const QfLesson* const lesson)
{
  QfText text   = {0};
  int    stage  = -1;
  int    number = 0;
  for (size_t i = 0; i < qf_lesson_n_questions(lesson); ++i) {
    const QfQuestion* const question = qf_lesson_get_question(lesson, i);
    if (question->is_dropped) {
      continue;
    }
    if ((int)question->stage != stage) {
      stage = (int)question->stage;
      qf_text_addf(&text, "%s%s\n", number ? "\n" : "", qf_stage_name(question->stage));
    }
    qf_text_addf(&text, "%3d. %s\n", ++number, question->prompt);
    for (size_t c = 0; c < question->n_choices; ++c) {
      qf_text_addf(&text, "%s%s", c ? "; " : "       ", question->choices[c]);
    }
    qf_text_add(&text, question->n_choices ? "\n" : "");
    for (size_t h = 0; h < question->n_hints; ++h) {
      qf_text_addf(&text, "       hint: %s\n", question->hints[h]);
    }
    for (size_t a = 0; a < question->n_answers; ++a) {
      qf_text_addf(&text, "       answer: %s\n", question->answers[a]);
    }
  }
  qf_text_add(&text, ""); // No question is an empty list, not a failure
  return qf_text_take(&text);
}

static char*
questions_json(const QfLesson* const lesson)
{
  // The lesson's own writer knows every member.
  char*        json  = NULL;
  json_object* array = NULL;
  json_object* root  = json_object_new_object();
  json_object* whole = NULL;
  if (!qf_lesson_to_json(lesson, &json, NULL)) {
    whole = json_tokener_parse(json);
  }
  if (whole && json_object_object_get_ex(whole, "questions", &array)) {
    json_object_object_add(root, "questions", json_object_get(array));
  } else {
    json_object_object_add(root, "questions", json_object_new_array());
  }
  json_object_put(whole);
  free(json);
  return json_take_text(root);
}

QfExit
questions_command(int argc, char** argv)
{
  Options   options = {0};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  QfLesson* lesson = NULL;
  QfError   error  = {0};
  QfExit    result = open_document(options.lesson, &lesson);
  if (result) {
    return result;
  }
  char* text = NULL;
  if (qf_questions_renew(lesson, &error) ||
      (options.is_kept && qf_lesson_to_json(lesson, &text, &error))) {
    result = fail(&error, options.lesson);
  } else {
    text   = text ? text : options.form ? questions_json(lesson) : questions_text(lesson);
    result = write_text(options.output, text);
  }
  qf_lesson_free(lesson);
  return result;
}
