// SPDX-License-Identifier: MIT
#include "command.h"
#include "label_text.h"

#include "quintfall/formats.h"

#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf label FILE [--key KEY] [--as text|romantext|json] [--reasons] [-o OUT]\n\n"
  "Tell the function of every chord of FILE.\n\n"
  "  --key KEY    read everything in KEY, such as \"Eb major\" or \"c#\"; otherwise it is found\n"
  "  --as FORM    text (a table), romantext, or json\n"
  "  --reasons    say why, under every line of the table\n"
  "  -o OUT       write to OUT instead of standard output\n";

typedef enum { AS_TEXT, AS_ROMANTEXT, AS_JSON } Form;

typedef struct {
  const char* input;
  const char* output;
  const char* key;
  Form        form;
  bool        has_reasons;
} Options;

static bool
parse_form(const char* const text, Form* const form)
{
  static const char* const names[] = {"text", "romantext", "json"};
  for (int i = 0; i < 3; ++i) {
    if (!strcmp(text, names[i])) {
      *form = (Form)i;
      return true;
    }
  }

  return false;
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  static const struct option table[] = {
    {"key", required_argument, NULL, 'k'}, {"as", required_argument, NULL, 'a'},
    {"reasons", no_argument, NULL, 'r'},   {"output", required_argument, NULL, 'o'},
    {"help", no_argument, NULL, 'h'},      {NULL, 0, NULL, 0},
  };

  for (int c = 0; (c = getopt_long(argc, argv, "k:a:ro:h", table, NULL)) != -1;) {
    switch (c) {
      case 'k':
        options->key = optarg;
        break;
      case 'a':
        if (!parse_form(optarg, &options->form)) {
          return (int)usage_error(usage, "--as takes text, romantext or json, not \"%s\"", optarg);
        }
        break;
      case 'r':
        options->has_reasons = true;
        break;
      case 'o':
        options->output = optarg;
        break;
      case 'h':
        return (int)write_output(NULL, usage, strlen(usage));
      default:
        return (int)usage_error(usage, "option not understood");
    }
  }

  if (argc - optind != 1) {
    return (int)usage_error(usage, "label takes one FILE");
  }

  options->input = argv[optind];
  return -1;
}

/// Write the labels in the form asked for (transfer full, or NULL with the error filled)
static char*
describe(QfLesson* const lesson, const Options* const options, QfError* const error)
{
  const QfScore* const  score  = qf_lesson_get_score(lesson);
  const QfLabels* const labels = qf_lesson_get_labels(lesson);
  if (!labels) {
    qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
    return NULL;
  }

  char* text = NULL;
  if (options->form == AS_ROMANTEXT) {
    qf_romantext_write(score, labels, &text, error);
    return text;
  }

  text = options->form == AS_JSON ? labels_to_json(score, labels)
                                  : labels_to_table(score, labels, options->has_reasons);
  if (!text) {
    qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  return text;
}

QfExit
label_command(int argc, char** argv)
{
  Options   options = {0};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  QfKey   key   = {{0, 0}, QF_MAJOR};
  QfError error = {0};
  if (options.key && qf_key_parse(options.key, &key, &error)) {
    return fail(&error, "--key");
  }

  QfLesson* lesson = NULL;
  QfExit    result = open_document(options.input, &lesson);
  if (result) {
    return result;
  }

  char* text = NULL;
  if (options.key && qf_lesson_set_key(lesson, &key, &error)) {
    result = fail(&error, options.input);
  } else if (!(text = describe(lesson, &options, &error))) {
    result = fail(&error, options.input);
  } else {
    result = write_output(options.output, text, strlen(text));
  }

  free(text);
  qf_lesson_free(lesson);
  return result;
}
