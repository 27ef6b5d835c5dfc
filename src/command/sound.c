// SPDX-License-Identifier: MIT
#include "command.h"

#include <string.h>

static const char usage[] =
  "Usage: qf sound FILE [--forward bass|tenor|alto|soprano|quality|all] [--prelude] [--count-in]\n"
  "                [--tempo FACTOR] [--repeats N] [--gap BEATS] [--level DB] [--soundfont SF2] -o "
  "OUT\n\n"
  "Render a hearing of FILE to OUT, a .wav, .flac or .ogg file.\n\n"
  "  --forward V      what is brought forward; quality re-strikes every chord as a block\n"
  "  --prelude        establish the key first\n"
  "  --count-in       count one bar first\n"
  "  --tempo FACTOR   0.25 to 2 times the written tempo\n"
  "  --repeats N      how often it is heard, 1 to 20\n"
  "  --gap BEATS      silence between repeats, 0 to 64 beats\n"
  "  --level DB       overall level, -40 to 0; quiet unless raised\n"
  "  --soundfont SF2  another SoundFont than the system's\n\n"
  "Start listening at a low volume, above all on headphones, and take breaks.\n";

typedef struct {
  const char* input;
  const char* output;
  const char* forward;
  const char* soundfont;
  bool        has_prelude;
  bool        has_count_in;
  double      tempo; ///< 0 where the lesson's own is kept
  double      repeats;
  double      gap;
  double      level;
} Options;

enum { UNSET = 1000 }; ///< Outside every range below

static bool
take_option(const int c, void* const data)
{
  Options* const options = (Options*)data;
  switch (c) {
    case 'f':
      options->forward = optarg;
      return true;
    case 'p':
      options->has_prelude = true;
      return true;
    case 'c':
      options->has_count_in = true;
      return true;
    case 't':
      return parse_number("--tempo", optarg, 0.25, 2.0, &options->tempo);
    case 'r':
      return parse_number("--repeats", optarg, 1.0, 20.0, &options->repeats);
    case 'g':
      return parse_number("--gap", optarg, 0.0, 64.0, &options->gap);
    case 'l':
      return parse_number("--level", optarg, -40.0, 0.0, &options->level);
    case 's':
      options->soundfont = optarg;
      return true;
    case 'o':
      options->output = optarg;
      return true;
    default:
      usage_error(usage, "option not understood");
      return false;
  }
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  static const struct option table[] = {
    {"forward", required_argument, NULL, 'f'},
    {"prelude", no_argument, NULL, 'p'},
    {"count-in", no_argument, NULL, 'c'},
    {"tempo", required_argument, NULL, 't'},
    {"repeats", required_argument, NULL, 'r'},
    {"gap", required_argument, NULL, 'g'},
    {"level", required_argument, NULL, 'l'},
    {"soundfont", required_argument, NULL, 's'},
    {"output", required_argument, NULL, 'o'},
    {"help", no_argument, NULL, 'h'},
    {NULL, 0, NULL, 0},
  };

  const int early = take_options(argc, argv, (OptionTable){"f:pct:r:g:l:s:o:h", table, usage},
                                 take_option, options);
  if (early >= 0) {
    return early;
  }

  if (argc - optind != 1 || !options->output) {
    return (int)usage_error(usage, "sound takes one FILE and -o OUT");
  }

  const QfFileKind kind = qf_file_kind_of_path(options->output);
  if (kind != QF_FILE_WAV && kind != QF_FILE_FLAC && kind != QF_FILE_OGG) {
    return (int)usage_error(usage, "OUT must end in .wav, .flac or .ogg");
  }

  options->input = argv[optind];
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
    hearing->repeats = (int)options->repeats;
  }
  if (options->gap < UNSET) {
    hearing->gap_beats = options->gap;
  }
  if (options->level < UNSET) {
    hearing->level_db = options->level;
  }

  const size_t n_voices = qf_score_n_voices(qf_lesson_get_score(lesson));
  return options->forward ? qf_forward_parse(options->forward, n_voices, &hearing->forward, error)
                          : QF_OK;
}

QfExit
sound_command(int argc, char** argv)
{
  Options   options = {.tempo = UNSET, .repeats = UNSET, .gap = UNSET, .level = UNSET};
  const int early   = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  QfLesson*    lesson = NULL;
  const QfExit opened = open_document(options.input, &lesson);
  if (opened) {
    return opened;
  }

  QfError error          = {0};
  QfExportOptions export = qf_export_options(lesson);
  QfExit result          = QF_EXIT_DONE;
  if (hearing_of(lesson, &options, &export.hearing, &error)) {
    result = fail(&error, "--forward");
  } else {
    export.sound.soundfont = options.soundfont;
    export.sound.level_db  = export.hearing.level_db;
    export.progress        = show_progress;
    if (qf_document_export(lesson, options.output, qf_file_kind_of_path(options.output), export,
                           &error)) {
      result = fail(&error, options.output);
    }
  }

  qf_lesson_free(lesson);
  return result;
}
