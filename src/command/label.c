// SPDX-License-Identifier: MIT
#include "batch.h"
#include "command.h"
#include "label_text.h"

#include "quintfall/formats.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static const char usage[] =
  "Usage: qf label FILE... [--key KEY] [--as text|romantext|json] [--reasons]\n"
  "                [--least-beats N] [--cadence-beats N] [--jobs N] [-o OUT]\n\n"
  "Tell the function of every chord of FILE. A FILE may be a folder: then, and with several\n"
  "FILEs, OUT is the folder for the results, and a file that fails does not stop the rest.\n\n"
  "  --key KEY    read everything in KEY, such as \"Eb major\" or \"c#\"; otherwise it is found\n"
  "  --as FORM    text (a table), romantext, or json\n"
  "  --reasons    say why, under every line of the table\n"
  "  --least-beats N    a shorter stretch in another key is written inside the key around it,\n"
  "                     and applied chords to one degree that last so long get its key\n"
  "  --cadence-beats N  beats that a cadence in the other key counts for\n"
  "  --jobs N     files worked on at a time, 1 to 64; 2 unless given\n"
  "  -o OUT       write to OUT instead of standard output\n";

typedef enum { AS_TEXT, AS_ROMANTEXT, AS_JSON } Form;

typedef struct {
  char* const* inputs;
  size_t       n_inputs;
  const char*  output;
  bool         has_key;
  QfKey        key;
  Form         form;
  bool         has_reasons;
  double       n_jobs;

  bool            has_thresholds;
  QfKeyThresholds thresholds;
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
    {"key", required_argument, NULL, 'k'},
    {"as", required_argument, NULL, 'a'},
    {"reasons", no_argument, NULL, 'r'},
    {"least-beats", required_argument, NULL, 'l'},
    {"cadence-beats", required_argument, NULL, 'c'},
    {"jobs", required_argument, NULL, 'j'},
    {"output", required_argument, NULL, 'o'},
    {"help", no_argument, NULL, 'h'},
    {NULL, 0, NULL, 0},
  };

  QfError error = {0};
  for (int c = 0; (c = getopt_long(argc, argv, "k:a:rl:c:j:o:h", table, NULL)) != -1;) {
    switch (c) {
      case 'k':
        if (qf_key_parse(optarg, &options->key, &error)) {
          return (int)fail(&error, "--key");
        }
        options->has_key = true;
        break;
      case 'j':
        if (!parse_number("--jobs", optarg, 1.0, 64.0, &options->n_jobs)) {
          return QF_EXIT_INPUT;
        }
        break;
      case 'l':
      case 'c': {
        const bool is_least = c == 'l';
        if (!parse_number(
              is_least ? "--least-beats" : "--cadence-beats", optarg, 0.0, QF_MAX_KEY_BEATS,
              is_least ? &options->thresholds.least_beats : &options->thresholds.cadence_beats)) {
          return QF_EXIT_INPUT;
        }
        options->has_thresholds = true;
        break;
      }
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

  if (argc - optind < 1) {
    return (int)usage_error(usage, "label takes at least one FILE");
  }

  options->inputs   = argv + optind;
  options->n_inputs = (size_t)(argc - optind);
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

/// Label one file
static QfExit
label_file(const BatchItem* const item, void* const data)
{
  const Options* const options = (const Options*)data;
  QfLesson*            lesson  = NULL;
  QfExit               result  = open_document(item->input, &lesson);
  if (result) {
    return result;
  }

  QfError error = {0};
  char*   text  = NULL;
  if ((options->has_key && qf_lesson_set_key(lesson, &options->key, &error)) ||
      (options->has_thresholds &&
       qf_lesson_set_key_thresholds(lesson, options->thresholds, &error))) {
    result = fail(&error, item->input);
  } else if (!(text = describe(lesson, options, &error))) {
    result = fail(&error, item->input);
  } else {
    result = write_output(item->output, text, strlen(text));
  }

  free(text);
  qf_lesson_free(lesson);
  return result;
}

/// Label many files into a folder
static QfExit
label_batch(Options* const options)
{
  static const char* const endings[] = {"txt", "rntxt", "json"};

  if (!options->output) {
    return usage_error(usage, "several files need -o FOLDER for their results");
  }

  Batch   batch = {0};
  QfError error = {0};
  QfExit  result;
  if (batch_collect(&batch, options->inputs, options->n_inputs, options->output,
                    endings[options->form], &error)) {
    result = fail(&error, "label");
  } else if (!batch.n_items) {
    qf_error_set(&error, QF_ERR_IO, "no MusicXML, .mxl, MIDI or lesson file was found");
    result = fail(&error, options->inputs[0]);
  } else {
    result = batch_run(&batch, (size_t)options->n_jobs, "labelled", label_file, options);
  }

  batch_clear(&batch);
  return result;
}

static bool
is_folder(const char* const path)
{
  struct stat info;
  return !stat(path, &info) && S_ISDIR(info.st_mode);
}

QfExit
label_command(int argc, char** argv)
{
  Options   options = {.n_jobs = 2.0};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  if (options.n_inputs > 1 || is_folder(options.inputs[0])) {
    return label_batch(&options);
  }

  char*           output = options.output ? strdup(options.output) : NULL;
  const BatchItem item   = {options.inputs[0], output};
  const QfExit    result = label_file(&item, &options);
  free(output);
  return result;
}
