// SPDX-License-Identifier: MIT
// Learns the weights of the analysis from human analyses; see src/analysis/LEARNING.md.
#include "learner.h"

#include "quintfall/formats.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void
label_piece(const Piece* const piece, const float* const weights, const char* const folder)
{
  const QfLabelOptions options = {.may_modulate = true};
  char                 path[2 * PATH_SIZE];
  QfLabels*            labels = NULL;
  char*                text   = NULL;

  snprintf(path, sizeof(path), "%s/%s/%s.rntxt", folder, piece->kind, piece->name);
  if (!qf_labels_weighed(piece->score, options, weights, &labels, NULL) &&
      !qf_romantext_write(piece->score, labels, &text, NULL)) {
    FILE* const file = fopen(path, "w");

    if (file) {
      fputs(text, file);
      fclose(file);
    } else {
      fprintf(stderr, "cannot write %s\n", path);
    }
  }
  free(text);
  qf_labels_free(labels);
}

static void
print_words(void)
{
  QfVocabulary* const vocabulary = (QfVocabulary*)calloc(1, sizeof(QfVocabulary));

  for (int mode = 0; mode < 2; ++mode) {
    qf_vocabulary_init(vocabulary, (QfMode)mode);
    for (size_t e = 1; e < vocabulary->n_entries; ++e) {
      for (int i = 0; i < qf_chord_kind_size(vocabulary->entries[e].kind) && i < 4; ++i) {
        QfNumeral numeral = vocabulary->entries[e].numeral;
        char      text[QF_NUMERAL_TEXT_SIZE];

        numeral.inversion = (int8_t)i;
        qf_numeral_write(&numeral, (QfMode)mode, text, sizeof(text));
        printf("%d %zu %d %s\n", mode, e, i, text);
      }
    }
  }
  free(vocabulary);
}

/// The number that an option sets, or NULL
static float*
number_of(Options* const options, const char* const name)
{
  const struct {
    const char* name;
    float*      number;
  } numbers[] = {
    {"--rate", &options->rate},     {"--decay", &options->decay},
    {"--margin", &options->margin}, {"--hope", &options->hope},
    {"--lean", &options->lean},     {"--textbooks", &options->textbooks},
    {"--chains", &options->chains},
  };

  for (size_t i = 0; i < sizeof(numbers) / sizeof(numbers[0]); ++i) {
    if (!strcmp(name, numbers[i].name)) {
      return numbers[i].number;
    }
  }
  return NULL;
}

static bool
read_options(const int argc, char** const argv, Options* const options)
{
  for (int i = 1; i < argc; i += 2) {
    const char* const name   = argv[i];
    const char* const value  = argv[i + 1]; // NULL after the last argument
    float* const      number = number_of(options, name);

    if (!value) {
      return false;
    }
    if (number) {
      *number = strtof(value, NULL);
    } else if (!strcmp(name, "--task")) {
      options->task = value;
    } else if (!strcmp(name, "--weights")) {
      options->weights = value;
    } else if (!strcmp(name, "--out")) {
      options->out = value;
    } else if (!strcmp(name, "--label")) {
      options->folder = value;
    } else if (!strcmp(name, "--fold")) {
      options->fold = atoi(value);
    } else if (!strcmp(name, "--epochs")) {
      options->epochs = atoi(value);
    } else {
      return false;
    }
  }
  return options->task != NULL;
}

static bool
load(const char* const path, float* const weights)
{
  FILE* const file  = fopen(path, "rb");
  const bool  is_ok = file && fread(weights, sizeof(float), QF_N_FEATURES, file) == QF_N_FEATURES;
  const bool  ends  = !file || !fclose(file);

  if (!is_ok || !ends) {
    fprintf(stderr, "cannot read %s\n", path);
  }
  return is_ok && ends;
}

static bool
save(const char* const path, const float* const weights)
{
  FILE* const file  = fopen(path, "wb");
  const bool  is_ok = file && fwrite(weights, sizeof(float), QF_N_FEATURES, file) == QF_N_FEATURES;
  const bool  ends  = !file || !fclose(file);

  if (!is_ok || !ends) {
    fprintf(stderr, "cannot write %s\n", path);
  }
  return is_ok && ends;
}

/// Learn, or tell how good the weights are, and label; gives the exit status
static int
run(const Task* const    task,
    const Options* const options,
    Learner* const       learner,
    float* const         weights)
{
  bool is_ok = true;

  memcpy(weights, qf_learned_weights(), QF_N_FEATURES * sizeof(float));
  if (options->weights && !load(options->weights, weights)) {
    return 2;
  }
  if (options->epochs) {
    learner_learn(learner, options, task);
    for (size_t i = 0; i < QF_N_FEATURES; ++i) {
      weights[i] = learner_average(learner, i);
    }
    weights_lean(weights, options->lean);
  } else {
    weights_evaluate(task, options, weights);
  }
  if (options->out) {
    is_ok = save(options->out, weights);
  }
  for (int i = 0; options->folder && i < task->n_pieces; ++i) {
    if (options->fold < 0 || task->pieces[i].fold == options->fold) {
      label_piece(&task->pieces[i], weights, options->folder);
    }
  }
  return is_ok ? 0 : 3;
}

int
main(const int argc, char** const argv)
{
  Options options = {.fold = -1, .rate = 0.1F, .margin = 1.0F, .hope = 4.0F};

  options.lean      = 0.4F;
  options.textbooks = 3.0F;
  options.chains    = 0.3F;
  if (argc == 2 && !strcmp(argv[1], "--words")) {
    print_words();
    return 0;
  }
  if (!read_options(argc, argv, &options)) {
    fputs(
      "usage: learn --words\n"
      "       learn --task TASK [--fold N] [--epochs N] [--out FILE] [--label FOLDER]\n"
      "             [--weights FILE] [--rate X] [--decay X] [--margin X] [--hope X] [--lean X]\n"
      "             [--textbooks X] [--chains X]\n",
      stderr);
    return 2;
  }

  Task* const    task    = (Task*)calloc(1, sizeof(Task));
  Learner* const learner = (Learner*)calloc(1, sizeof(Learner));
  float* const   weights = (float*)calloc(QF_N_FEATURES, sizeof(float));
  const bool     is_read = task && learner && weights && task_read(options.task, task);
  const int      result  = is_read ? run(task, &options, learner, weights) : 2;
  task_free(task);
  free(learner);
  free(weights);
  return result;
}
