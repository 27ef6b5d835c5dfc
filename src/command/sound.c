// SPDX-License-Identifier: MIT
#include "batch.h"
#include "interrupt.h"
#include "options.h"

#include "quintfall/plan_shelf.h"
#include "quintfall/recordings.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf sound FILE... [--plan[=PLAN]] [--forward bass|tenor|alto|soprano|quality|all]\n"
  "                [--prelude] [--count-in] [--tempo FACTOR] [--repeats N] [--gap BEATS]\n"
  "                [--whole] [--format wav|flac|ogg|opus|mp3] [--loudness LUFS]\n"
  "                [--tuning equal|just|meantone] [--a4 HZ] [--soundfont SF2] [--level DB]\n"
  "                [--jobs N] -o OUT\n"
  "       qf sound --list-plans\n\n"
  "Record hearings of FILE. OUT is one sound file with all of it; or a folder, for a file a\n"
  "hearing. With several FILEs, or a folder of them, OUT is a folder with a folder for each.\n\n"
  "  --plan[=PLAN]    the lesson's hearing plan, or else a plain dictation; PLAN is a plan's name\n"
  "                   or file. A MIDI file and a list of the hearings stand beside\n"
  "  --list-plans     name the plans that are ready and those kept by you\n"
  "Without a plan, a quick hearing:\n"
  "  --forward V      what is brought forward; quality re-strikes every chord as a block\n"
  "  --prelude        establish the key first\n"
  "  --count-in       count one bar first\n"
  "  --tempo FACTOR   0.25 to 2 times the written tempo\n"
  "  --repeats N      how often it is heard, 1 to 20\n"
  "  --gap BEATS      silence between repeats, 0 to 64 beats\n"
  "Of the files:\n"
  "  --whole          all hearings of a FILE in one file, also in a folder\n"
  "  --format F       of the files in a folder; flac unless given\n"
  "  --loudness LUFS  of every file alike, -30 to -14; -23 unless given\n"
  "  --tuning T       equal unless given; just and meantone are those of the lesson's key\n"
  "  --a4 HZ          392 to 466; 440 unless given\n"
  "  --soundfont SF2  another SoundFont than the system's\n"
  "  --level DB       into the limiter, -40 to 0\n"
  "  --jobs N         files, or hearings of one, worked on at a time, 1 to 64; 2 unless given\n\n"
  "Start listening at a low volume, above all on headphones, and take breaks.\n";

typedef struct {
  char**      inputs;
  size_t      n_inputs;
  const char* output;
  bool        has_plan;
  const char* plan; ///< Name or path, or NULL for the lesson's
  const char* forward;
  const char* soundfont;
  bool        has_prelude;
  bool        has_count_in;
  double      tempo; ///< #UNSET where the lesson's own is kept
  int         repeats;
  double      gap;
  double      level;
  bool        is_whole;
  QfAudioKind kind;
  double      loudness; ///< 0 for the usual
  QfTuning    tuning;
  int         n_jobs;
  bool        lists_plans;
} Options;

enum { UNSET = 1000 }; ///< Outside every range below

static QfStatus
take_kind(const Option* const option, const char* const text, QfError* const error)
{
  char       path[16];
  const int  n    = snprintf(path, sizeof(path), "x.%s", text);
  const bool fits = n > 0 && n < (int)sizeof(path);
  return fits && !qf_audio_kind_of(path, (QfAudioKind*)option->target, error)
           ? QF_OK
           : qf_error_set(error, QF_ERR_UNSUPPORTED,
                          "expected wav, flac, ogg, opus or mp3, as the installed libsndfile "
                          "writes them, not \"%.20s\"",
                          text);
}

static QfStatus
take_tuning(const Option* const option, const char* const text, QfError* const error)
{
  return qf_tuning_parse(text, (QfTuningKind*)option->target, error);
}

/// True if all inputs are single files and there is one of them
static bool
is_batch(const Options* const options)
{
  return options->n_inputs > 1 || is_folder(options->inputs[0]);
}

static bool
is_sound_file(const char* const path)
{
  switch (qf_file_kind_of_path(path)) {
    case QF_FILE_WAV:
    case QF_FILE_FLAC:
    case QF_FILE_OGG:
    case QF_FILE_OPUS:
    case QF_FILE_MP3:
      return !is_folder(path);
    default:
      return false;
  }
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  const Option list[] = {
    {"plan", take_text, &options->plan, &options->has_plan, .is_optional = true},
    {"list-plans", take_flag, &options->lists_plans},
    {"forward", take_text, &options->forward},
    {"prelude", take_flag, &options->has_prelude},
    {"count-in", take_flag, &options->has_count_in},
    {"tempo", take_number, &options->tempo, .low = 0.25, .high = 2.0},
    {"repeats", take_whole, &options->repeats, .low = 1.0, .high = 20.0},
    {"gap", take_number, &options->gap, .low = 0.0, .high = 64.0},
    {"whole", take_flag, &options->is_whole},
    {"format", take_kind, &options->kind},
    {"loudness", take_number, &options->loudness, .low = QF_LOWEST_LOUDNESS,
     .high = QF_HIGHEST_LOUDNESS},
    {"tuning", take_tuning, &options->tuning.kind},
    {"a4", take_number, &options->tuning.a4_hz, .low = QF_TUNING_LOWEST_A4,
     .high = QF_TUNING_HIGHEST_A4},
    {"level", take_number, &options->level, .low = -40.0, .high = 0.0},
    {"soundfont", take_text, &options->soundfont},
    {"jobs", take_whole, &options->n_jobs, .low = 1.0, .high = 64.0},
    {"output", take_text, &options->output},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early >= 0 || options->lists_plans) {
    return early;
  }
  if (argc == first || !options->output) {
    return (int)usage_error(usage, "sound takes a FILE and -o OUT");
  }
  options->inputs   = argv + first;
  options->n_inputs = (size_t)(argc - first);
  if (is_batch(options) && is_sound_file(options->output)) {
    return (int)usage_error(usage, "for several files OUT is a folder, not a sound file");
  }
  if (!is_sound_file(options->output) && strrchr(options->output, '.') &&
      !is_folder(options->output) && !strchr(strrchr(options->output, '.'), '/')) {
    return (int)usage_error(usage, "OUT must end in .wav, .flac, .ogg, .opus or .mp3, or be a "
                                   "folder");
  }
  return -1;
}

/// The lesson's own hearing with what the options change
static QfStatus
hearing_of(const QfLesson* const lesson,
           const Options* const  options,
           QfHearing* const      hearing,
           QfError* const        error)
{
  *hearing = qf_lesson_get_hearing(lesson);
  if (options->has_prelude) {
    hearing->has_prelude = true;
  }
  if (options->has_count_in) {
    hearing->has_count_in = true;
  }
  if (options->tempo < UNSET) {
    hearing->tempo_factor = options->tempo;
  }
  if (options->repeats < UNSET) {
    hearing->repeats = options->repeats;
  }
  if (options->gap < UNSET) {
    hearing->gap_beats = options->gap;
  }

  const size_t n_voices = qf_score_n_voices(qf_lesson_get_score(lesson));
  return options->forward ? qf_forward_parse(options->forward, n_voices, &hearing->forward, error)
                          : QF_OK;
}

/// The plan to perform (transfer full)
static QfStatus
plan_of(const QfLesson* const lesson,
        const Options* const  options,
        QfPlan** const        plan,
        QfError* const        error)
{
  if (options->plan) {
    return find_plan(options->plan, plan, error);
  }
  if (options->has_plan) {
    const QfPlan* const own = qf_lesson_get_plan(lesson);
    *plan                   = own ? qf_plan_dup(own) : qf_ready_plan_new(0);
    return *plan ? QF_OK : QF_ERR_NO_MEM;
  }

  QfHearing      hearing;
  const QfStatus st = hearing_of(lesson, options, &hearing, error);
  if (st) {
    return st;
  }
  *plan = qf_plan_of_hearing(hearing, QF_TIME_ZERO, QF_TIME_ZERO);
  return *plan ? QF_OK : QF_ERR_NO_MEM;
}

/// Folder of a path (transfer full; NULL if there is none)
static char*
folder_of(const char* const path)
{
  const char* const slash = strrchr(path, '/');
  return slash ? strndup(path, (size_t)(slash - path) + (slash == path)) : NULL;
}

static QfExit
record(const Options* const options,
       const char* const    input,
       const char* const    output,
       const QfProgressFunc progress)
{
  QfLesson*    lesson = NULL;
  const QfExit opened = open_document(input, &lesson);
  if (opened) {
    return opened;
  }

  QfError     error   = {0};
  QfPlan*     plan    = NULL;
  char*       remarks = NULL;
  char* const folder  = folder_of(input);
  QfExit      result  = QF_EXIT_DONE;
  if (plan_of(lesson, options, &plan, &error)) {
    result = options->plan ? plan_fail(&error, options->plan)
                           : fail(&error, options->has_plan ? "--plan" : "--forward");
  } else {
    const double          own_level = qf_lesson_get_hearing(lesson).level_db;
    const QfRecordOptions record    = {
         .plan          = plan,
         .folder        = folder,
         .sound         = {.soundfont = options->soundfont,
                           .level_db  = options->level < UNSET ? options->level : own_level,
                           .tuning    = options->tuning},
         .kind          = options->kind,
         .loudness_lufs = options->loudness,
         .has_midi      = options->has_plan,
         .n_jobs        = progress ? (size_t)options->n_jobs : 1, // A batch has jobs enough
         .progress      = progress,
    };
    const QfStatus st = is_sound_file(output)
                          ? qf_document_record_whole(lesson, output, record, &remarks, &error)
                          : qf_document_record_hearings(lesson, output, record, &remarks, &error);
    result            = st ? fail(&error, output) : QF_EXIT_DONE;
  }

  print_remarks(input, remarks);
  free(remarks);
  free(folder);
  qf_plan_free(plan);
  qf_lesson_free(lesson);
  return result;
}

/// One file of many: a sound file, or a folder named like one without its ending
static QfExit
record_item(const BatchItem* const item, void* const data)
{
  const Options* const options = (const Options*)data;
  if (!options->is_whole) {
    *strrchr(item->output, '.') = '\0';
  }
  return record(options, item->input, item->output, NULL);
}

static QfExit
record_batch(Options* const options)
{
  Batch   batch  = {0};
  QfError error  = {0};
  QfExit  result = QF_EXIT_DONE;
  if (batch_collect(&batch, options->inputs, options->n_inputs, options->output,
                    qf_audio_kind_ending(options->kind) + 1, &error)) {
    result = fail(&error, NULL);
  } else if (!batch.n_items) {
    fprintf(stderr, "qf: there is no music in %s\n", options->inputs[0]);
    result = QF_EXIT_INPUT;
  } else {
    result = batch_run(&batch, (size_t)options->n_jobs, "recorded", record_item, options);
  }
  batch_clear(&batch);
  return result;
}

/// Name the plans there are, with what the ready ones are for
static QfExit
list_plans(void)
{
  for (size_t i = 0; i < qf_n_ready_plans(); ++i) {
    QfPlan* const plan = qf_ready_plan_new(i);
    printf("%s\n    %s\n", plan ? qf_plan_get_name(plan) : "", qf_ready_plan_purpose(i));
    qf_plan_free(plan);
  }

  char* const folder = qf_plan_shelf_folder();
  QfPlanShelf shelf  = {0};
  if (folder && !qf_plan_shelf_read(folder, &shelf)) {
    for (size_t i = 0; i < shelf.n_plans; ++i) {
      printf("%s\n    %s\n", shelf.plans[i].name, shelf.plans[i].path);
    }
  }
  qf_plan_shelf_clear(&shelf);
  free(folder);
  return QF_EXIT_DONE;
}

QfExit
sound_command(int argc, char** argv)
{
  Options   options = {.tempo   = UNSET,
                       .repeats = UNSET,
                       .gap     = UNSET,
                       .level   = UNSET,
                       .kind    = QF_AUDIO_FLAC,
                       .n_jobs  = 2};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }
  if (options.lists_plans) {
    return list_plans();
  }
  if (is_batch(&options)) {
    return record_batch(&options);
  }

  catch_interrupts();
  return record(&options, options.inputs[0], options.output, show_progress);
}
