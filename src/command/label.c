// SPDX-License-Identifier: MIT
#include "batch.h"
#include "command.h"
#include "label_text.h"
#include "options.h"

#include "quintfall/formats.h"

#include <stdlib.h>
#include <string.h>

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

/// In the order of their words
typedef enum { AS_TEXT, AS_ROMANTEXT, AS_JSON } Form;

typedef struct {
  char* const* inputs;
  size_t       n_inputs;
  const char*  output;
  bool         has_key;
  QfKey        key;
  int          form; ///< A #Form
  bool         has_reasons;
  int          n_jobs;

  double least_beats;   ///< Negative for the lesson's own
  double cadence_beats; ///< Negative for the lesson's own
} Options;

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  static const char* const forms[] = {"text", "romantext", "json", NULL};

  const Option list[] = {
    {"key", take_key, &options->key, &options->has_key},
    {"as", take_word, &options->form, .words = forms},
    {"reasons", take_flag, &options->has_reasons},
    {"least-beats", take_number, &options->least_beats, .high = QF_MAX_KEY_BEATS},
    {"cadence-beats", take_number, &options->cadence_beats, .high = QF_MAX_KEY_BEATS},
    {"jobs", take_whole, &options->n_jobs, .low = 1.0, .high = 64.0},
    {"output", take_text, &options->output},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early >= 0) {
    return early;
  }
  if (argc - first < 1) {
    return (int)usage_error(usage, "label takes at least one FILE");
  }

  options->inputs   = argv + first;
  options->n_inputs = (size_t)(argc - first);
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

/// Change what the options say of keys
static QfStatus
set_keys(QfLesson* const lesson, const Options* const options, QfError* const error)
{
  QfKeyThresholds thresholds = qf_lesson_get_key_thresholds(lesson);
  if (options->least_beats >= 0.0) {
    thresholds.least_beats = options->least_beats;
  }
  if (options->cadence_beats >= 0.0) {
    thresholds.cadence_beats = options->cadence_beats;
  }
  const QfStatus st = qf_lesson_set_key_thresholds(lesson, thresholds, error);
  return st || !options->has_key ? st : qf_lesson_set_key(lesson, &options->key, error);
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
  if (set_keys(lesson, options, &error)) {
    result = fail(&error, item->input);
  } else if (!(text = describe(lesson, options, &error))) {
    result = fail(&error, item->input);
  } else {
    result = write_text(item->output, text);
  }

  qf_lesson_free(lesson);
  return result;
}

/// Label many files into a folder
static QfExit
label_batch(Options* const options)
{
  static const char* const endings[] = {"txt", "rntxt", "json"};

  if (!options->output) {
    return usage_error(usage, "a folder or several files need -o FOLDER for the results");
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

QfExit
label_command(int argc, char** argv)
{
  Options   options = {.n_jobs = 2, .least_beats = -1.0, .cadence_beats = -1.0};
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
