// SPDX-License-Identifier: MIT
#include "command.h"
#include "interrupt.h"
#include "options.h"

#include "quintfall/workbook.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char usage[] =
  "Usage: qf make --seed N [--level L] [--count N] [--use FUNCTIONS] [--key KEY]...\n"
  "               [--metre M]... [--rhythm R]... [--chords N] [--bars N] [--inversions 0-3]\n"
  "               [--foreign N] [--foreign-kinds K,...] [--modulate] [--return] [--stay]\n"
  "               [--weights W] [--give G] [--tempo T] [--plan PLAN] [--parts P,...]\n"
  "               [--jobs N] -o FOLDER\n\n"
  "Make a set of exercises, no two with the same functions in the same rhythm; the same options\n"
  "make the same set again.\n\n"
  "  --seed N       any whole number\n"
  "  --level L      1 to 8, 1 unless given; sets all that follows, which may change it\n"
  "  --count N      how many exercises, 10 unless given\n"
  "  --use F,...    chords beside I, IV and V: secondary, sevenths, cadential, leading-tone,\n"
  "                 applied, applied-leading, chains, mixture, neapolitan, augmented-sixths; one\n"
  "                 of them is in each exercise; applied/V chooses degrees\n"
  "  --key KEY      draw from these keys only\n"
  "  --metre M      such as 3/4; several are mixed in the set\n"
  "  --chords N     3 to 64\n"
  "  --bars N       2 to 32\n"
  "  --rhythm R     bars, half, beats or mixed; several are mixed in the set\n"
  "  --inversions N up to which inversion\n"
  "  --foreign N    at most so many passing, neighbour and suspended notes\n"
  "  --foreign-kinds K,...  passing, neighbour, suspension: only these\n"
  "  --modulate     end in a near key\n"
  "  --return       close in a near key and come home; with --modulate, either is drawn\n"
  "  --stay         stay in one key\n"
  "  --weights W    how usual progressions are: common-practice or corpus\n"
  "  --give G       what is printed for the student: outer, bass, first-chord, first-outer, "
  "nothing\n"
  "  --tempo T      quarter notes a minute\n"
  "  --plan PLAN    hearing plan of the lessons and recordings: a plan's name or file; one that\n"
  "                 fits the level unless given (qf sound --list-plans names them)\n"
  "  --parts P,...  sheets, answers, recordings, tasks; the first three unless given, or none\n"
  "  --jobs N       exercises written at a time, one for each processor unless given; the files\n"
  "                 are the same, however many\n"
  "  -o FOLDER      receives the files and index.json; files of the same names are replaced\n";

enum {
  ALL_FOREIGN = QF_EXERCISE_PASSING | QF_EXERCISE_NEIGHBOUR | QF_EXERCISE_SUSPENSION,
};

/// What was given; 0 or NULL where nothing was, or #UNSET
typedef struct {
  const char*      folder;
  uint64_t         seed;
  bool             has_seed;
  bool             has_uses;
  unsigned         uses;            ///< Bits of #QfUse
  unsigned         applied_degrees; ///< Bits of degrees
  QfKey            keys[QF_EXERCISE_MAX_KEYS];
  size_t           n_keys;
  QfMetre          metres[QF_EXERCISE_MAX_METRES];
  size_t           n_metres;
  unsigned         rhythms; ///< Bits `1U <<` #QfHarmonicRhythm
  bool             has_weights;
  QfWeights        weights;
  bool             has_givens;
  QfExerciseGivens givens;
  bool             has_foreign_kinds;
  unsigned         foreign_kinds; ///< Bits of #QfExerciseForeign
  const char*      plan;          ///< Name or path, or NULL for that of the level
  bool             has_parts;
  unsigned         parts;
  bool             modulates;
  bool             returns;
  bool             stays;
  int              level;
  int              count;
  int              n_chords;
  int              n_bars;
  int              inversions;
  int              n_foreign;
  double           tempo;
  int              n_jobs;
} Options;

enum { UNSET = -1 };

static QfStatus
take_uses(const Option* const option, const char* const text, QfError* const error)
{
  Options* const options = (Options*)option->target;
  return qf_uses_parse(text, &options->uses, &options->applied_degrees, error);
}

static QfStatus
take_another_key(const Option* const option, const char* const text, QfError* const error)
{
  Options* const options = (Options*)option->target;
  if (options->n_keys == QF_EXERCISE_MAX_KEYS) {
    return qf_error_set(error, QF_ERR_RANGE, "there are only %d keys", QF_EXERCISE_MAX_KEYS);
  }
  return qf_key_parse(text, &options->keys[options->n_keys++], error);
}

static QfStatus
take_another_metre(const Option* const option, const char* const text, QfError* const error)
{
  Options* const options = (Options*)option->target;
  if (options->n_metres == QF_EXERCISE_MAX_METRES) {
    return qf_error_set(error, QF_ERR_RANGE, "expected at most %d metres", QF_EXERCISE_MAX_METRES);
  }
  return qf_metre_parse(text, &options->metres[options->n_metres++], error);
}

static QfStatus
take_another_rhythm(const Option* const option, const char* const text, QfError* const error)
{
  QfHarmonicRhythm rhythm = QF_RHYTHM_BARS;
  const QfStatus   st     = qf_harmonic_rhythm_parse(text, &rhythm, error);
  *(unsigned*)option->target |= st ? 0U : 1U << (unsigned)rhythm;
  return st;
}

static QfStatus
take_weights(const Option* const option, const char* const text, QfError* const error)
{
  return qf_weights_parse(text, (QfWeights*)option->target, error);
}

static QfStatus
take_givens(const Option* const option, const char* const text, QfError* const error)
{
  return qf_exercise_givens_parse(text, (QfExerciseGivens*)option->target, error);
}

static QfStatus
take_foreign_kinds(const Option* const option, const char* const text, QfError* const error)
{
  return qf_exercise_foreign_parse(text, (unsigned*)option->target, error);
}

/// The part of a set that a name of this length stands for; false if it is none
static bool
find_part(const char* const name, const size_t length, unsigned* const part)
{
  static const struct {
    const char* name;
    unsigned    part;
  } parts[] = {
    {"sheets", QF_WORKBOOK_SHEETS},
    {"answers", QF_WORKBOOK_ANSWERS},
    {"recordings", QF_WORKBOOK_RECORDINGS},
    {"tasks", QF_WORKBOOK_TASKS},
    {"none", 0},
  };

  for (size_t i = 0; i < sizeof(parts) / sizeof(parts[0]); ++i) {
    if (strlen(parts[i].name) == length && !strncmp(parts[i].name, name, length)) {
      *part = parts[i].part;
      return true;
    }
  }
  return false;
}

/// Read "sheets,recordings" or "none"
static QfStatus
take_parts(const Option* const option, const char* text, QfError* const error)
{
  unsigned parts = 0;
  while (*text) {
    const size_t length = strcspn(text, ",");
    unsigned     part   = 0;
    if (!find_part(text, length, &part)) {
      return qf_error_set(error, QF_ERR_BAD_TEXT,
                          "expected sheets, answers, recordings, tasks or none, separated by "
                          "commas, not \"%.40s\"",
                          text);
    }
    parts |= part;
    text += length + (text[length] == ',');
  }
  *(unsigned*)option->target = parts;
  return QF_OK;
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  const Option list[] = {
    {"seed", take_seed, &options->seed, &options->has_seed},
    {"level", take_whole, &options->level, .low = 1.0, .high = QF_EXERCISE_N_LEVELS},
    {"count", take_whole, &options->count, .low = 1.0, .high = QF_WORKBOOK_MAX},
    {"use", take_uses, options, &options->has_uses},
    {"key", take_another_key, options},
    {"metre", take_another_metre, options},
    {"chords", take_whole, &options->n_chords, .low = 3.0, .high = QF_EXERCISE_MAX_CHORDS},
    {"bars", take_whole, &options->n_bars, .low = 2.0, .high = QF_EXERCISE_MAX_BARS},
    {"rhythm", take_another_rhythm, &options->rhythms},
    {"inversions", take_whole, &options->inversions, .low = 0.0, .high = 3.0},
    {"foreign", take_whole, &options->n_foreign, .low = 0.0, .high = QF_EXERCISE_MAX_CHORDS},
    {"foreign-kinds", take_foreign_kinds, &options->foreign_kinds, &options->has_foreign_kinds},
    {"modulate", take_flag, &options->modulates},
    {"return", take_flag, &options->returns},
    {"stay", take_flag, &options->stays},
    {"weights", take_weights, &options->weights, &options->has_weights},
    {"give", take_givens, &options->givens, &options->has_givens},
    {"tempo", take_number, &options->tempo, .low = 10.0, .high = 400.0},
    {"plan", take_text, &options->plan},
    {"parts", take_parts, &options->parts, &options->has_parts},
    {"jobs", take_whole, &options->n_jobs, .low = 1.0, .high = QF_WORKBOOK_MAX_JOBS},
    {"output", take_text, &options->folder},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early >= 0) {
    return early;
  }
  if (argc != first || !options->folder || !options->has_seed) {
    return (int)usage_error(usage, "make takes --seed N and -o FOLDER");
  }
  if (options->stays && (options->modulates || options->returns)) {
    return (int)usage_error(usage, "--stay goes with neither --modulate nor --return");
  }
  return -1;
}

static QfModulation
modulation_of(const Options* const options, const QfModulation of_level)
{
  return options->stays                           ? QF_MODULATION_STAY
         : options->modulates && options->returns ? QF_MODULATION_EITHER
         : options->modulates                     ? QF_MODULATION_LEAVE
         : options->returns                       ? QF_MODULATION_RETURN
                                                  : of_level;
}

/// The level's options with what the command changes
static QfExerciseOptions
exercises_of(const Options* const options)
{
  QfExerciseOptions exercises = qf_exercise_options(options->level, options->seed);
  if (options->has_uses) {
    // A chain has the applied dominants it is made of.
    const bool has_chains     = (options->uses & QF_USE_CHAINS) != 0;
    exercises.uses            = options->uses;
    exercises.required        = options->uses & ~(has_chains ? (unsigned)QF_USE_APPLIED : 0U);
    exercises.applied_degrees = options->applied_degrees;
  }
  if (options->n_keys) {
    memcpy(exercises.keys, options->keys, sizeof(exercises.keys));
    exercises.n_keys = options->n_keys;
  }
  if (options->n_metres) {
    memcpy(exercises.metres, options->metres, sizeof(exercises.metres));
    exercises.n_metres = options->n_metres;
  }
  exercises.rhythms = options->rhythms ? options->rhythms : exercises.rhythms;
  exercises.weights = options->has_weights ? options->weights : exercises.weights;
  exercises.givens  = options->has_givens ? options->givens : exercises.givens;
  if (options->n_chords || options->n_bars) {
    exercises.n_chords = (size_t)options->n_chords;
    exercises.n_bars   = (size_t)options->n_bars;
  }
  if (options->inversions > UNSET) {
    exercises.inversions = (1U << (unsigned)options->inversions) - 1U;
  }
  if (options->n_foreign > UNSET) {
    exercises.foreign   = ALL_FOREIGN;
    exercises.n_foreign = (size_t)options->n_foreign;
  }
  if (options->has_foreign_kinds) {
    exercises.foreign = options->foreign_kinds;
  }
  exercises.tempo      = options->tempo > 0.0 ? options->tempo : exercises.tempo;
  exercises.modulation = modulation_of(options, exercises.modulation);
  return exercises;
}

// Signals reach a handler that has no argument: this one flag must be at file scope.
static bool
progress_cb(const QfWorkbookProgress progress, void* const data)
{
  (void)data;
  if (isatty(STDERR_FILENO)) {
    fprintf(stderr, "\r%zu of %zu done, %-24s", progress.done, progress.count, progress.doing);
  }
  return !is_interrupted();
}

static QfExit
write_set(const Options* const options, QfWorkbookOptions* const set)
{
  QfError error  = {0};
  size_t  n_done = 0;
  catch_interrupts();
  set->progress     = progress_cb;
  const QfStatus st = qf_workbook_write(options->folder, set, &n_done, &error);
  fprintf(stderr, "%s%zu of %zu exercises in %s\n", isatty(STDERR_FILENO) ? "\r" : "", n_done,
          set->count, options->folder);
  return st ? fail(&error, options->folder) : QF_EXIT_DONE;
}

QfExit
make_command(int argc, char** argv)
{
  Options   options = {.level = 1, .count = 10, .inversions = UNSET, .n_foreign = UNSET};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  QfWorkbookOptions set = qf_workbook_options(exercises_of(&options));
  set.count             = (size_t)options.count;
  set.n_jobs            = (size_t)options.n_jobs;
  set.parts             = options.has_parts ? options.parts : set.parts;

  QfPlan* plan  = NULL;
  QfError error = {0};
  if (options.plan && find_plan(options.plan, &plan, &error)) {
    return plan_fail(&error, options.plan);
  }
  set.plan          = plan;
  const QfExit exit = write_set(&options, &set);
  qf_plan_free(plan);
  return exit;
}
