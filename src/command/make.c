// SPDX-License-Identifier: MIT
#include "command.h"

#include "quintfall/workbook.h"

#include <signal.h>
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

/// An option as it was given, or NULL
typedef struct {
  const char* folder;
  const char* seed;
  const char* use;
  const char* weights;
  const char* give;
  const char* plan;
  const char* parts;
  const char* foreign_kinds;
  const char* keys[QF_EXERCISE_MAX_KEYS];
  size_t      n_keys;
  const char* metres[QF_EXERCISE_MAX_METRES];
  size_t      n_metres;
  const char* rhythms[QF_RHYTHM_N_KINDS];
  size_t      n_rhythms;
  bool        modulates;
  bool        returns;
  bool        stays;
  double      level;
  double      count;
  double      chords;
  double      bars;
  double      inversions; ///< Or #UNSET
  double      foreign;    ///< Or #UNSET
  double      tempo;
  double      jobs;
} Options;

enum {
  UNSET = -1,
};

static bool
take_number(const int c, Options* const options)
{
  switch (c) {
    case 'l':
      return parse_number("--level", optarg, 1.0, QF_EXERCISE_N_LEVELS, &options->level);
    case 'c':
      return parse_number("--count", optarg, 1.0, QF_WORKBOOK_MAX, &options->count);
    case 'n':
      return parse_number("--chords", optarg, 3.0, QF_EXERCISE_MAX_CHORDS, &options->chords);
    case 'b':
      return parse_number("--bars", optarg, 2.0, QF_EXERCISE_MAX_BARS, &options->bars);
    case 'i':
      return parse_number("--inversions", optarg, 0.0, 3.0, &options->inversions);
    case 'f':
      return parse_number("--foreign", optarg, 0.0, QF_EXERCISE_MAX_CHORDS, &options->foreign);
    case 't':
      return parse_number("--tempo", optarg, 10.0, 400.0, &options->tempo);
    case 'j':
      return parse_number("--jobs", optarg, 1.0, QF_WORKBOOK_MAX_JOBS, &options->jobs);
    default:
      usage_error(usage, "option not understood");
      return false;
  }
}

/// Keep one of several values of an option
static bool
take_another(const char** const list, size_t* const n, const size_t max, const char* const option)
{
  if (*n == max) {
    usage_error(usage, "%s can be given %zu times", option, max);
    return false;
  }
  list[(*n)++] = optarg;
  return true;
}

static bool
take_option(const int c, void* const data)
{
  Options* const options = (Options*)data;
  switch (c) {
    case 's':
      options->seed = optarg;
      return true;
    case 'u':
      options->use = optarg;
      return true;
    case 'k':
      return take_another(options->keys, &options->n_keys, QF_EXERCISE_MAX_KEYS, "--key");
    case 'm':
      return take_another(options->metres, &options->n_metres, QF_EXERCISE_MAX_METRES, "--metre");
    case 'r':
      return take_another(options->rhythms, &options->n_rhythms, QF_RHYTHM_N_KINDS, "--rhythm");
    case 'M':
      options->modulates = true;
      return true;
    case 'R':
      options->returns = true;
      return true;
    case 'F':
      options->foreign_kinds = optarg;
      return true;
    case 'S':
      options->stays = true;
      return true;
    case 'w':
      options->weights = optarg;
      return true;
    case 'g':
      options->give = optarg;
      return true;
    case 'P':
      options->plan = optarg;
      return true;
    case 'p':
      options->parts = optarg;
      return true;
    case 'o':
      options->folder = optarg;
      return true;
    default:
      return take_number(c, options);
  }
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  static const struct option table[] = {
    {"seed", required_argument, NULL, 's'},    {"level", required_argument, NULL, 'l'},
    {"count", required_argument, NULL, 'c'},   {"use", required_argument, NULL, 'u'},
    {"key", required_argument, NULL, 'k'},     {"metre", required_argument, NULL, 'm'},
    {"chords", required_argument, NULL, 'n'},  {"bars", required_argument, NULL, 'b'},
    {"rhythm", required_argument, NULL, 'r'},  {"inversions", required_argument, NULL, 'i'},
    {"foreign", required_argument, NULL, 'f'}, {"modulate", no_argument, NULL, 'M'},
    {"stay", no_argument, NULL, 'S'},          {"weights", required_argument, NULL, 'w'},
    {"give", required_argument, NULL, 'g'},    {"tempo", required_argument, NULL, 't'},
    {"plan", required_argument, NULL, 'P'},    {"parts", required_argument, NULL, 'p'},
    {"output", required_argument, NULL, 'o'},  {"help", no_argument, NULL, 'h'},
    {"return", no_argument, NULL, 'R'},        {"foreign-kinds", required_argument, NULL, 'F'},
    {"jobs", required_argument, NULL, 'j'},    {NULL, 0, NULL, 0},
  };

  const OptionTable all   = {"s:l:c:u:k:m:n:b:r:i:f:F:MRSw:g:t:p:j:o:h", table, usage};
  const int         early = take_options(argc, argv, all, take_option, options);
  if (early >= 0) {
    return early;
  }
  if (argc != optind || !options->folder || !options->seed) {
    return (int)usage_error(usage, "make takes --seed N and -o FOLDER");
  }
  return -1;
}

static QfStatus
parse_seed(const char* const text, uint64_t* const seed, QfError* const error)
{
  char* end = NULL;
  *seed     = strtoull(text, &end, 10);
  return end == text || *end || strchr(text, '-')
           ? qf_error_set(error, QF_ERR_BAD_TEXT, "--seed takes a whole number, not \"%.40s\"",
                          text)
           : QF_OK;
}

static QfStatus
apply_use(const char* const text, QfExerciseOptions* const exercises, QfError* const error)
{
  unsigned       uses = 0;
  const QfStatus st   = qf_uses_parse(text, &uses, &exercises->applied_degrees, error);
  if (!st) {
    // A chain has the applied dominants it is made of.
    exercises->uses     = uses;
    exercises->required = uses & QF_USE_CHAINS ? uses & ~(unsigned)QF_USE_APPLIED : uses;
  }
  return st;
}

static QfStatus
apply_keys(const Options* const options, QfExerciseOptions* const exercises, QfError* const error)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; !st && i < options->n_keys; ++i) {
    st = qf_key_parse(options->keys[i], &exercises->keys[i], error);
  }
  if (options->n_keys) {
    exercises->n_keys = options->n_keys;
  }
  return st;
}

static QfStatus
apply_metres(const Options* const options, QfExerciseOptions* const exercises, QfError* const error)
{
  QfStatus st = QF_OK;
  for (size_t i = 0; !st && i < options->n_metres; ++i) {
    st = qf_metre_parse(options->metres[i], &exercises->metres[i], error);
  }
  if (options->n_metres) {
    exercises->n_metres = options->n_metres;
  }
  return st;
}

static QfStatus
apply_rhythms(const Options* const     options,
              QfExerciseOptions* const exercises,
              QfError* const           error)
{
  QfStatus st      = QF_OK;
  unsigned rhythms = 0;
  for (size_t i = 0; !st && i < options->n_rhythms; ++i) {
    QfHarmonicRhythm rhythm = QF_RHYTHM_BARS;
    st                      = qf_harmonic_rhythm_parse(options->rhythms[i], &rhythm, error);
    rhythms |= 1U << (unsigned)rhythm;
  }
  if (options->n_rhythms) {
    exercises->rhythms = rhythms;
  }
  return st;
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
static QfStatus
exercises_of(const Options* const options, QfExerciseOptions* const exercises, QfError* const error)
{
  uint64_t seed = 0;
  QfStatus st   = parse_seed(options->seed, &seed, error);
  *exercises    = qf_exercise_options((int)options->level, seed);
  st            = st || !options->use ? st : apply_use(options->use, exercises, error);
  st            = st ? st : apply_keys(options, exercises, error);
  st            = st ? st : apply_metres(options, exercises, error);
  st            = st ? st : apply_rhythms(options, exercises, error);
  if (!st && options->weights) {
    st = qf_weights_parse(options->weights, &exercises->weights, error);
  }
  if (!st && options->give) {
    st = qf_exercise_givens_parse(options->give, &exercises->givens, error);
  }
  if (options->chords > 0.0 || options->bars > 0.0) {
    exercises->n_chords = (size_t)options->chords;
    exercises->n_bars   = (size_t)options->bars;
  }
  if (options->inversions > UNSET) {
    exercises->inversions = (1U << (unsigned)options->inversions) - 1U;
  }
  if (options->foreign > UNSET) {
    exercises->foreign   = ALL_FOREIGN;
    exercises->n_foreign = (size_t)options->foreign;
  }
  if (!st && options->foreign_kinds) {
    st = qf_exercise_foreign_parse(options->foreign_kinds, &exercises->foreign, error);
  }
  if (options->tempo > 0.0) {
    exercises->tempo = options->tempo;
  }
  exercises->modulation = modulation_of(options, exercises->modulation);
  return st;
}

/// Read "sheets,recordings" or "none"
static QfStatus
parse_parts(const char* text, unsigned* const parts, QfError* const error)
{
  static const struct {
    const char*    name;
    QfWorkbookPart part;
  } names[] = {
    {"sheets", QF_WORKBOOK_SHEETS},
    {"answers", QF_WORKBOOK_ANSWERS},
    {"recordings", QF_WORKBOOK_RECORDINGS},
    {"tasks", QF_WORKBOOK_TASKS},
    {"none", (QfWorkbookPart)0},
  };
  const size_t n_names = sizeof(names) / sizeof(names[0]);

  *parts = 0;
  while (*text) {
    const size_t length = strcspn(text, ",");
    size_t       i      = 0;
    while (i < n_names &&
           (strlen(names[i].name) != length || strncmp(text, names[i].name, length) != 0)) {
      ++i;
    }
    if (i == n_names) {
      return qf_error_set(error, QF_ERR_BAD_TEXT,
                          "--parts takes sheets, answers, recordings, tasks or none, not \"%.40s\"",
                          text);
    }
    *parts |= (unsigned)names[i].part;
    text += length + (text[length] == ',');
  }
  return QF_OK;
}

// Signals reach a handler that has no argument: this one flag must be at file scope.
static volatile sig_atomic_t is_interrupted = 0;

static void
interrupt_cb(const int number)
{
  (void)number;
  is_interrupted = 1;
}

static bool
progress_cb(const QfWorkbookProgress progress, void* const data)
{
  (void)data;
  if (isatty(STDERR_FILENO)) {
    fprintf(stderr, "\r%zu of %zu done, %-24s", progress.done, progress.count, progress.doing);
  }
  return !is_interrupted;
}

static QfExit
write_set(const Options* const options, QfWorkbookOptions* const set)
{
  struct sigaction action = {.sa_handler = interrupt_cb};
  QfError          error  = {0};
  size_t           n_done = 0;
  // A second interrupt ends the program at once, should something hang.
  action.sa_flags = (int)SA_RESETHAND;
  sigaction(SIGINT, &action, NULL);
  sigaction(SIGTERM, &action, NULL);

  set->progress     = progress_cb;
  const QfStatus st = qf_workbook_write(options->folder, set, &n_done, &error);
  fprintf(stderr, "%s%zu of %zu exercises in %s\n", isatty(STDERR_FILENO) ? "\r" : "", n_done,
          set->count, options->folder);
  return st ? fail(&error, options->folder) : QF_EXIT_DONE;
}

QfExit
make_command(int argc, char** argv)
{
  Options   options = {.level = 1.0, .count = 10.0, .inversions = UNSET, .foreign = UNSET};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  QfError           error     = {0};
  QfExerciseOptions exercises = {0};
  QfStatus          st        = exercises_of(&options, &exercises, &error);
  QfWorkbookOptions set       = qf_workbook_options(exercises);
  set.count                   = (size_t)options.count;
  set.n_jobs                  = (size_t)options.jobs;
  if (!st && options.parts) {
    st = parse_parts(options.parts, &set.parts, &error);
  }

  QfPlan* plan      = NULL;
  st                = st || !options.plan ? st : find_plan(options.plan, &plan, &error);
  set.plan          = plan;
  const QfExit exit = st ? fail(&error, NULL) : write_set(&options, &set);
  qf_plan_free(plan);
  return exit;
}
