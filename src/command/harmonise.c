// SPDX-License-Identifier: MIT
#include "command.h"

#include "lines.h"
#include "options.h"
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
  int                form;    ///< Index in text_or_json
  int                each;    ///< 1 for beats
  int                n_best;
  int                nth;
  int                n_apart; ///< 0 unless given
  QfHarmoniseOptions core;
} Options;

static QfStatus
take_vocabulary(const Option* const option, const char* const text, QfError* const error)
{
  return qf_vocabulary_parse(text, (QfVocabulary*)option->target, error);
}

/// True if the options go with NOTES, or with --from FILE; otherwise it has been complained about
static bool
fit_together(const Options* const options, const bool is_file)
{
  if (!is_file && (!options->has_key || options->source.voice || options->source.is_each_beat)) {
    usage_error(usage, "NOTES need --key KEY; --voice and --each need --from FILE");
    return false;
  }
  if (is_file && options->has_metre) {
    usage_error(usage, "--metre is for NOTES; FILE has its own");
    return false;
  }
  return true;
}

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  static const char* const each[] = {"note", "beat", NULL};

  const Option list[] = {
    {"key", take_key, &options->core.key, &options->has_key},
    {"from", take_text, &options->source.path},
    {"voice", take_text, &options->source.voice},
    {"each", take_word, &options->each, .words = each},
    {"bass", take_flag, &options->core.is_bass},
    {"metre", take_metre, &options->core.metre, &options->has_metre},
    {"use", take_vocabulary, &options->core.vocabulary},
    {"profile", take_profile, &options->core.profile},
    {"best", take_whole, &options->n_best, .low = 1.0, .high = QF_HARMONISE_MAX_BEST},
    {"nth", take_whole, &options->nth, .low = 1.0, .high = QF_HARMONISE_MAX_BEST},
    {"apart", take_whole, &options->n_apart, .low = 1.0, .high = QF_HARMONISE_MAX_APART},
    {"as", take_word, &options->form, &options->is_told, .words = text_or_json},
    {"output", take_text, &options->output},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early >= 0) {
    return early;
  }
  const bool is_file           = options->source.path != NULL;
  options->source.is_each_beat = options->each == 1;
  options->source.is_bass      = options->core.is_bass;
  if (argc - first != (is_file ? 0 : 1)) {
    return (int)usage_error(usage, "harmonise takes NOTES or --from FILE");
  }
  if (!fit_together(options, is_file)) {
    return QF_EXIT_INPUT;
  }
  options->notes       = is_file ? NULL : argv[first];
  options->core.n_best = (size_t)(options->nth > options->n_best ? options->nth : options->n_best);
  return -1;
}

/// Tell the chains, or write one of them into a file
static QfExit
deliver(const QfHarmonies* const harmonies, const Line* const line, const Options* const options)
{
  if (!options->output || options->is_told) {
    return write_text(options->output, options->form ? harmonies_to_json(harmonies, &options->core)
                                                     : harmonies_to_table(harmonies));
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
  return options->n_apart > 0             ? (size_t)options->n_apart
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
  Options options = {.n_best = 3, .nth = 1};
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
