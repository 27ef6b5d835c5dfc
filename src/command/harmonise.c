// SPDX-License-Identifier: MIT
#include "command.h"
#include "writings_text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf harmonise NOTES --key KEY [--bass] [--metre M] [--use VOCABULARY] [--profile P]\n"
  "                    [--best N] [--nth N] [--apart N] [--as text|json] [-o OUT]\n\n"
  "Find chords for a melody or a bass, and write them in four parts.\n\n"
  "  NOTES          pitches and bar lines: \"E5 D5 | C5(2)\"; (N) is a length in beats, one\n"
  "                 unless given; a bass may be figured, \"C3 F3:6 G3:7 C3:\"; || ends a phrase\n"
  "  --key KEY      key, such as \"Eb major\" or \"c#\"\n"
  "  --bass         NOTES are the bass, otherwise the soprano\n"
  "  --metre M      metre, 4/4 unless given\n"
  "  --use V        diatonic; applied (unless given) has applied dominants too; chromatic has\n"
  "                 mixture, Neapolitan and augmented sixths as well\n"
  "  --profile P    make no error of strict, common (unless given) or free\n"
  "  --best N       tell N different chains, 3 unless given\n"
  "  --nth N        the chain to write to OUT, the best unless given\n"
  "  --apart N      chains differ in at least N chords, a fifth of them unless given\n"
  "  --as FORM      text or json, on standard output\n"
  "  -o OUT         write the chain as a lesson, score, page or sound, by OUT's ending\n";

typedef struct {
  const char*        notes;
  const char*        output;
  bool               has_key;
  bool               is_json;
  double             n_best;
  double             nth;
  double             n_apart; ///< 0 unless given
  QfHarmoniseOptions core;
} Options;

/// The line as it was read
typedef struct {
  QfGivenNote notes[QF_HARMONISE_MAX_NOTES];
  size_t      n_notes;
} Line;

/// Read one option; true if it was understood, otherwise it has been complained about
static bool
take_option(const int c, void* const data)
{
  Options* const options = (Options*)data;
  QfError        error   = {0};
  const char*    name    = "";
  switch (c) {
    case 'k':
      name             = "--key";
      options->has_key = !qf_key_parse(optarg, &options->core.key, &error);
      break;
    case 'm':
      name = "--metre";
      qf_metre_parse(optarg, &options->core.metre, &error);
      break;
    case 'u':
      name = "--use";
      qf_vocabulary_parse(optarg, &options->core.vocabulary, &error);
      break;
    case 'p':
      name = "--profile";
      qf_profile_parse(optarg, &options->core.profile, &error);
      break;
    case 'b':
      options->core.is_bass = true;
      break;
    case 'B':
      return parse_number("--best", optarg, 1.0, QF_HARMONISE_MAX_BEST, &options->n_best);
    case 'n':
      return parse_number("--nth", optarg, 1.0, QF_HARMONISE_MAX_BEST, &options->nth);
    case 'A':
      return parse_number("--apart", optarg, 1.0, QF_HARMONISE_MAX_APART, &options->n_apart);
    case 'a':
      options->is_json = !strcmp(optarg, "json");
      if (!options->is_json && strcmp(optarg, "text") != 0) {
        usage_error(usage, "--as takes text or json, not \"%s\"", optarg);
        return false;
      }
      break;
    case 'o':
      options->output = optarg;
      break;
    default:
      usage_error(usage, "option not understood");
      return false;
  }
  if (error.status) {
    fail(&error, name);
  }
  return !error.status;
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  static const struct option table[] = {
    {"key", required_argument, NULL, 'k'},     {"bass", no_argument, NULL, 'b'},
    {"metre", required_argument, NULL, 'm'},   {"use", required_argument, NULL, 'u'},
    {"profile", required_argument, NULL, 'p'}, {"best", required_argument, NULL, 'B'},
    {"nth", required_argument, NULL, 'n'},     {"apart", required_argument, NULL, 'A'},
    {"as", required_argument, NULL, 'a'},      {"output", required_argument, NULL, 'o'},
    {"help", no_argument, NULL, 'h'},          {NULL, 0, NULL, 0},
  };

  const int early = take_options(argc, argv, (OptionTable){"k:bm:u:p:B:n:A:a:o:h", table, usage},
                                 take_option, options);
  if (early >= 0) {
    return early;
  }
  if (argc - optind != 1 || !options->has_key) {
    return (int)usage_error(usage, "harmonise takes NOTES and --key KEY");
  }
  options->notes       = argv[optind];
  options->core.n_best = (size_t)(options->nth > options->n_best ? options->nth : options->n_best);
  return -1;
}

/// Read "F3:6/5(2)"; the token is cut up
static QfStatus
read_note(char* const token, const QfTime beat, QfGivenNote* const note, QfError* const error)
{
  QfTime length = qf_time(1, 1);
  char*  open   = strchr(token, '(');
  if (open) {
    char* const close = strchr(open, ')');
    if (!close || close[1]) {
      return qf_error_set(error, QF_ERR_BAD_TEXT, "a length ends with ')', such as C5(2)");
    }
    *open = *close    = '\0';
    const QfStatus st = qf_time_parse(open + 1, &length, error);
    if (st || length.num <= 0 || length.den > 64 || length.num > 4096) {
      return qf_error_set(error, QF_ERR_BAD_TEXT,
                          "a length in beats is a number such as 2 or 3/2, more than 0 and at "
                          "most 64");
    }
  }
  char* const colon = strchr(token, ':');
  if (colon) {
    *colon           = '\0';
    note->is_figured = true;
    if (strlen(colon + 1) >= sizeof(note->figures)) {
      return qf_error_set(error, QF_ERR_BAD_TEXT, "the figures \"%s\" are too long", colon + 1);
    }
    snprintf(note->figures, sizeof(note->figures), "%s", colon + 1);
  }
  note->duration = qf_time_mul(length, beat);
  return qf_pitch_parse(token, &note->pitch, error);
}

static QfStatus
read_line(const char* const text, const QfMetre metre, Line* const line, QfError* const error)
{
  char* const copy = strdup(text);
  char*       rest = copy;
  QfTime      time = QF_TIME_ZERO;
  QfStatus    st   = copy ? QF_OK : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  for (char* token = copy ? strtok_r(copy, " \t\n", &rest) : NULL; !st && token;
       token       = strtok_r(NULL, " \t\n", &rest)) {
    if (!strcmp(token, "|")) {
      continue;
    }
    if (!strcmp(token, "||")) {
      if (line->n_notes) {
        line->notes[line->n_notes - 1U].ends_phrase = true;
      }
      continue;
    }
    if (line->n_notes == QF_HARMONISE_MAX_NOTES) {
      st = qf_error_set(error, QF_ERR_RANGE, "more than %d notes", QF_HARMONISE_MAX_NOTES);
      continue;
    }
    QfGivenNote* const note = &line->notes[line->n_notes++];
    note->start             = time;
    st                      = read_note(token, qf_metre_beat(metre), note, error);
    time                    = st ? time : qf_time_add(time, note->duration);
  }
  free(copy);
  return st;
}

/// Write one harmony into a file
static QfExit
export_harmony(const QfHarmonies* const harmonies, const Options* const options)
{
  const size_t nth   = (size_t)options->nth;
  QfError      error = {0};
  if (nth > harmonies->n_harmonies) {
    qf_error_set(&error, QF_ERR_IMPOSSIBLE, "only %zu chains were found", harmonies->n_harmonies);
    return fail(&error, "--nth");
  }
  const QfHarmony* const harmony = &harmonies->harmonies[nth - 1U];
  const size_t           n       = harmonies->n_links;
  QfScore* const score = qf_score_new_satb(options->core.key, options->core.metre, QF_TIME_ZERO, 1);
  QfStatus       st    = QF_ERR_NO_MEM;
  if (score) {
    st = qf_realise_into(score, harmony->links, n, harmony->voicings);
  }
  if (st) {
    qf_score_free(score);
    qf_error_set(&error, st, "%s", qf_status_text(st));
    return fail(&error, "NOTES");
  }

  QfLesson* const lesson = qf_lesson_new_from_score(score);
  st                     = lesson ? qf_lesson_set_key(lesson, &options->core.key, &error)
                                  : qf_error_set(&error, QF_ERR_NO_MEM, "out of memory");
  st                     = st ? st : qf_lesson_pin_links(lesson, harmony->links, n, &error);
  if (!st) {
    st = qf_document_export(lesson, options->output, qf_file_kind_of_path(options->output),
                            qf_export_options(lesson), &error);
  }
  qf_lesson_free(lesson);
  return st ? fail(&error, options->output) : QF_EXIT_DONE;
}

static QfExit
deliver(const QfHarmonies* const harmonies, const Options* const options)
{
  if (options->output) {
    return export_harmony(harmonies, options);
  }
  char* const text =
    options->is_json ? harmonies_to_json(harmonies) : harmonies_to_table(harmonies);
  const QfExit result = text ? write_output(NULL, text, strlen(text)) : QF_EXIT_MACHINE;
  free(text);
  return result;
}

/// As many chords as chains are to differ in: real choices, not one chord more or less
static size_t
default_apart(const Options* const options, const size_t n_notes)
{
  const size_t fifth = n_notes / 5U;
  return options->n_apart > 0.0           ? (size_t)options->n_apart
         : fifth < 1                      ? 1U
         : fifth > QF_HARMONISE_MAX_APART ? QF_HARMONISE_MAX_APART
                                          : fifth;
}

QfExit
harmonise_command(int argc, char** argv)
{
  Options options = {.n_best = 3.0, .nth = 1.0};
  options.core =
    (QfHarmoniseOptions){.vocabulary = QF_VOCABULARY_APPLIED, .profile = QF_PROFILE_COMMON};
  qf_metre(4, 4, &options.core.metre);
  const int early = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  Line* const line      = (Line*)calloc(1, sizeof(Line));
  QfHarmonies harmonies = {0};
  QfError     error     = {0};
  QfStatus    st        = line ? read_line(options.notes, options.core.metre, line, &error)
                               : qf_error_set(&error, QF_ERR_NO_MEM, "out of memory");
  if (!st) {
    options.core.n_apart = default_apart(&options, line->n_notes);
  }
  st = st ? st : qf_harmonise(line->notes, line->n_notes, options.core, &harmonies, &error);
  const QfExit result = st ? fail(&error, "NOTES") : deliver(&harmonies, &options);
  qf_harmonies_clear(&harmonies);
  free(line);
  return result;
}
