// SPDX-License-Identifier: MIT
#include "command.h"

#include "lines.h"
#include "writings_text.h"
#include "written.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf harmonise NOTES --key KEY [--metre M] [...]\n"
  "       qf harmonise --from FILE [--voice VOICE] [--each note|beat] [--key KEY] [...]\n"
  "                    [--bass] [--use VOCABULARY] [--profile P] [--best N] [--nth N]\n"
  "                    [--apart N] [--as text|json] [-o OUT]\n\n"
  "Find chords for a melody or a bass, and write them in four parts.\n\n"
  "  NOTES          pitches and bar lines: \"E5 D5 | C5(2)\"; (N) is a length in beats, one\n"
  "                 unless given; a bass may be figured, \"C3 F3:6 G3:7 C3:\"; || ends a phrase\n"
  "  --from FILE    take the notes from a lesson, MusicXML, .mxl, MIDI or RomanText file, with\n"
  "                 its fermatas as ends of phrases and the figured bass of MusicXML\n"
  "  --voice VOICE  which voice of FILE, by name or number from 1; the first, or with --bass the\n"
  "                 last, unless given\n"
  "  --each E       set a chord to each note of FILE, or to each beat\n"
  "  --key KEY      key, such as \"Eb major\" or \"c#\"; that of FILE unless given\n"
  "  --bass         the notes are the bass, otherwise the soprano\n"
  "  --metre M      metre of NOTES, 4/4 unless given\n"
  "  --use V        diatonic; applied (unless given) has applied dominants too; chromatic has\n"
  "                 mixture, Neapolitan and augmented sixths as well\n"
  "  --profile P    make no error of strict, common (unless given) or free\n"
  "  --best N       tell N different chains, 3 unless given\n"
  "  --nth N        the chain to write to OUT, the best unless given\n"
  "  --apart N      chains differ in at least N chords, a fifth of them unless given\n"
  "  --as FORM      text or json, on standard output or to OUT\n"
  "  -o OUT         unless --as is given, write the chain as a lesson, score, page or sound, by\n"
  "                 OUT's ending\n";

typedef struct {
  const char*        notes;  ///< Or NULL
  LineSource         source; ///< Its path is NULL where there are notes
  const char*        output;
  bool               has_key;
  bool               has_metre;
  bool               is_told; ///< As text or JSON, although there is an output
  bool               is_json;
  double             n_best;
  double             nth;
  double             n_apart; ///< 0 unless given
  QfHarmoniseOptions core;
} Options;

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
      name               = "--metre";
      options->has_metre = true;
      qf_metre_parse(optarg, &options->core.metre, &error);
      break;
    case 'f':
      options->source.path = optarg;
      break;
    case 'v':
      options->source.voice = optarg;
      break;
    case 'e':
      options->source.is_each_beat = !strcmp(optarg, "beat");
      if (!options->source.is_each_beat && strcmp(optarg, "note") != 0) {
        usage_error(usage, "--each takes note or beat, not \"%s\"", optarg);
        return false;
      }
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
      options->core.is_bass   = true;
      options->source.is_bass = true;
      break;
    case 'B':
      return parse_number("--best", optarg, 1.0, QF_HARMONISE_MAX_BEST, &options->n_best);
    case 'n':
      return parse_number("--nth", optarg, 1.0, QF_HARMONISE_MAX_BEST, &options->nth);
    case 'A':
      return parse_number("--apart", optarg, 1.0, QF_HARMONISE_MAX_APART, &options->n_apart);
    case 'a':
      options->is_told = true;
      return parse_text_or_json(usage, optarg, &options->is_json);
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
    {"key", required_argument, NULL, 'k'},
    {"from", required_argument, NULL, 'f'},
    {"voice", required_argument, NULL, 'v'},
    {"each", required_argument, NULL, 'e'},
    {"bass", no_argument, NULL, 'b'},
    {"metre", required_argument, NULL, 'm'},
    {"use", required_argument, NULL, 'u'},
    {"profile", required_argument, NULL, 'p'},
    {"best", required_argument, NULL, 'B'},
    {"nth", required_argument, NULL, 'n'},
    {"apart", required_argument, NULL, 'A'},
    {"as", required_argument, NULL, 'a'},
    {"output", required_argument, NULL, 'o'},
    {"help", no_argument, NULL, 'h'},
    {NULL, 0, NULL, 0},
  };

  const int early = take_options(
    argc, argv, (OptionTable){"k:f:v:e:bm:u:p:B:n:A:a:o:h", table, usage}, take_option, options);
  if (early >= 0) {
    return early;
  }
  const bool is_file = options->source.path != NULL;
  if (argc - optind != (is_file ? 0 : 1)) {
    return (int)usage_error(usage, "harmonise takes NOTES or --from FILE");
  }
  if (!is_file && (!options->has_key || options->source.voice || options->source.is_each_beat)) {
    return (int)usage_error(usage, "NOTES need --key KEY; --voice and --each need --from FILE");
  }
  if (is_file && options->has_metre) {
    return (int)usage_error(usage, "--metre is for NOTES; FILE has its own");
  }
  options->notes       = is_file ? NULL : argv[optind];
  options->core.n_best = (size_t)(options->nth > options->n_best ? options->nth : options->n_best);
  return -1;
}

/// Tell the chains, or write one of them into a file
static QfExit
deliver(const QfHarmonies* const harmonies, const Line* const line, const Options* const options)
{
  if (!options->output || options->is_told) {
    char* const  text = options->is_json ? harmonies_to_json(harmonies, &options->core)
                                         : harmonies_to_table(harmonies);
    const QfExit result =
      text ? write_output(options->output, text, strlen(text)) : QF_EXIT_MACHINE;
    free(text);
    return result;
  }

  const size_t nth = (size_t)options->nth;
  if (nth > harmonies->n_harmonies) {
    fprintf(stderr, "--nth: only %zu chains were found\n", harmonies->n_harmonies);
    return QF_EXIT_INPUT;
  }
  const QfHarmony* const harmony = &harmonies->harmonies[nth - 1U];
  Written                written = {.links    = harmony->links,
                                    .n_links  = harmonies->n_links,
                                    .pitches  = harmony->voicings[0].pitch,
                                    .n_voices = QF_SATB,
                                    .key      = options->core.key,
                                    .metre    = options->core.metre,
                                    .pickup   = options->core.pickup};

  written.lines[options->core.is_bass ? QF_SATB - 1U : 0U] = line;
  return written_export(&written, options->output);
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

/// Read the line, and what the file says of key and metre
static QfExit
read_line(Options* const options, Line* const line)
{
  if (options->notes) {
    QfError error = {0};
    if (line_parse(options->notes, options->core.metre, line, &error)) {
      return fail(&error, "NOTES");
    }
  } else {
    const QfExit result = line_read(options->source, line);
    if (result) {
      return result;
    }
    options->core.metre = line->metre;
    options->core.key   = options->has_key ? options->core.key : line->key;
  }
  options->core.pickup  = line->pickup;
  options->core.n_apart = default_apart(options, line->n_notes);
  return QF_EXIT_DONE;
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

  Line        line      = {.pickup = QF_TIME_ZERO};
  QfHarmonies harmonies = {0};
  QfError     error     = {0};
  QfExit      result    = read_line(&options, &line);
  if (!result && qf_harmonise(line.notes, line.n_notes, options.core, &harmonies, &error)) {
    result = fail(&error, options.notes ? "NOTES" : options.source.path);
  }
  result = result ? result : deliver(&harmonies, &line, &options);
  qf_harmonies_clear(&harmonies);
  line_clear(&line);
  return result;
}
