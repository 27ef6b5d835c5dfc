// SPDX-License-Identifier: MIT
#include "command.h"

#include "writings_text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf realise CHAIN [--key KEY] [--metre M] [--keep VOICE@N=PITCH]... [--profile P]\n"
  "                  [--voices N] [--keyboard] [--nth N] [--as json [--best N]] [--title T]"
  " [-o OUT]\n\n"
  "Write a chain of numerals out in the best way there is.\n\n"
  "  CHAIN        numerals and bar lines: \"A: vi V7/ii | ii V7 I(2)\"; (N) is a length in beats\n"
  "  --key KEY    key, unless CHAIN begins with one\n"
  "  --metre M    metre, 4/4 unless given\n"
  "  --keep ...   keep a note: soprano@1=C#5 is the soprano of the first chord\n"
  "  --profile P  make no error of strict, common or free; unless given, common, and free where\n"
  "               nothing else fits\n"
  "  --voices N   3, 4 or 5 voices; with 3 soprano, alto, bass; with 5 a soprano2\n"
  "  --keyboard   the upper voices in one hand, within an octave\n"
  "  --nth N      the Nth best way instead of the best\n"
  "  --as json    tell the pitches and the cost of the --best N ways on standard output, or OUT\n"
  "  --title T    title of the result\n"
  "  -o OUT       .json, .musicxml, .mxl, .mid, .pdf, .svg, .png, .wav, .flac or .ogg\n";

enum { MAX_KEPT = 256 };

enum { NO_PROFILE = QF_PROFILE_N_KINDS };

typedef struct {
  const char* chain;
  const char* output;
  const char* title;
  bool        has_key;
  QfKey       key;
  QfMetre     metre;
  const char* kept_texts[MAX_KEPT];
  QfKept      kept[MAX_KEPT];
  size_t      n_kept;
  QfProfile   profile; ///< Or #NO_PROFILE
  size_t      n_voices;
  bool        is_keyboard;
  bool        is_json;
  double      nth;
  double      n_best;
} Options;

// Voices as they are named in --keep, highest first, by their number.
static const char* const voice_names[QF_WRITING_MAX_VOICES + 1][QF_WRITING_MAX_VOICES] = {
  [3] = {"soprano", "alto", "bass"},
  [4] = {"soprano", "alto", "tenor", "bass"},
  [5] = {"soprano", "soprano2", "alto", "tenor", "bass"},
};

/// Read "soprano@1=C#5"
static QfStatus
parse_kept(const char* const text, const size_t n_voices, QfKept* const kept, QfError* const error)
{
  const char* const at = strchr(text, '@');
  for (size_t v = 0; at && v < n_voices; ++v) {
    const char* const name = voice_names[n_voices][v];
    if (strlen(name) != (size_t)(at - text) || strncmp(text, name, strlen(name)) != 0) {
      continue;
    }

    char*      end    = NULL;
    const long number = strtol(at + 1, &end, 10);
    if (end == at + 1 || *end != '=' || number < 1) {
      break;
    }

    kept->voice = v;
    kept->link  = (size_t)(number - 1);
    return qf_pitch_parse(end + 1, &kept->pitch, error);
  }

  return qf_error_set(error, QF_ERR_BAD_TEXT,
                      "\"%s\" is not VOICE@N=PITCH, such as soprano@1=C#5; voices are soprano,"
                      " alto, tenor and bass, chords count from 1",
                      text);
}

/// The kept notes, as soon as the number of voices is known
static bool
parse_all_kept(Options* const options)
{
  for (size_t i = 0; i < options->n_kept; ++i) {
    QfError error = {0};
    if (parse_kept(options->kept_texts[i], options->n_voices, &options->kept[i], &error)) {
      fail(&error, "--keep");
      return false;
    }
  }
  return true;
}

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
      options->has_key = !qf_key_parse(optarg, &options->key, &error);
      break;
    case 'm':
      name = "--metre";
      qf_metre_parse(optarg, &options->metre, &error);
      break;
    case 'K':
      name = "--keep";
      if (options->n_kept == MAX_KEPT) {
        qf_error_set(&error, QF_ERR_RANGE, "at most %d notes can be kept", MAX_KEPT);
      } else {
        options->kept_texts[options->n_kept++] = optarg;
      }
      break;
    case 'p':
      name = "--profile";
      qf_profile_parse(optarg, &options->profile, &error);
      break;
    case 'v': {
      double n = 0.0;
      if (!parse_number("--voices", optarg, QF_WRITING_MIN_VOICES, QF_WRITING_MAX_VOICES, &n)) {
        return false;
      }
      options->n_voices = (size_t)n;
      break;
    }
    case 'b':
      options->is_keyboard = true;
      break;
    case 'n':
      return parse_number("--nth", optarg, 1.0, QF_WRITING_MAX_BEST, &options->nth);
    case 'B':
      return parse_number("--best", optarg, 1.0, QF_WRITING_MAX_BEST, &options->n_best);
    case 'a':
      options->is_json = !strcmp(optarg, "json");
      if (!options->is_json) {
        usage_error(usage, "--as takes json, not \"%s\"", optarg);
      }
      return options->is_json;
    case 't':
      options->title = optarg;
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
    {"key", required_argument, NULL, 'k'},
    {"metre", required_argument, NULL, 'm'},
    {"keep", required_argument, NULL, 'K'},
    {"profile", required_argument, NULL, 'p'},
    {"voices", required_argument, NULL, 'v'},
    {"keyboard", no_argument, NULL, 'b'},
    {"nth", required_argument, NULL, 'n'},
    {"best", required_argument, NULL, 'B'},
    {"as", required_argument, NULL, 'a'},
    {"title", required_argument, NULL, 't'},
    {"output", required_argument, NULL, 'o'},
    {"help", no_argument, NULL, 'h'},
    {NULL, 0, NULL, 0},
  };

  const int early = take_options(argc, argv, (OptionTable){"k:m:K:p:v:bn:B:a:t:o:h", table, usage},
                                 take_option, options);
  if (early >= 0) {
    return early;
  }

  if (argc - optind != 1 || (!options->output && !options->is_json)) {
    return (int)usage_error(usage, "realise takes one CHAIN and -o OUT");
  }

  options->chain = argv[optind];
  return parse_all_kept(options) ? -1 : (int)QF_EXIT_INPUT;
}

static QfStatus
check_kept(const QfLinks* const links, const Options* const options, QfError* const error)
{
  for (size_t i = 0; i < options->n_kept; ++i) {
    if (options->kept[i].link >= links->n_links) {
      return qf_error_set(error, QF_ERR_RANGE, "--keep names chord %zu, but the chain has %zu",
                          options->kept[i].link + 1, links->n_links);
    }
  }
  return QF_OK;
}

/// Find the ways asked for; without a profile the free one helps out
static QfStatus
write_ways(const QfLinks* const links,
           const Options* const options,
           QfWritings* const    result,
           QfError* const       error)
{
  const double   n_best = options->nth > options->n_best ? options->nth : options->n_best;
  QfWriteOptions write  = {.profile     = options->profile,
                           .n_voices    = options->n_voices,
                           .is_keyboard = options->is_keyboard,
                           .kept        = options->kept,
                           .n_kept      = options->n_kept,
                           .n_best      = (size_t)n_best};
  if (options->profile != (QfProfile)NO_PROFILE) {
    return qf_write(links->links, links->n_links, write, result, NULL, error);
  }
  write.profile     = QF_PROFILE_COMMON;
  const QfStatus st = qf_write(links->links, links->n_links, write, result, NULL, error);
  if (st != QF_ERR_IMPOSSIBLE) {
    return st;
  }
  write.profile = QF_PROFILE_FREE;
  return qf_write(links->links, links->n_links, write, result, NULL, error);
}

/// Two staves, the lower two voices (of three, the lowest) on the second
static QfStatus
add_voices(QfScore* const score, const size_t n_voices)
{
  static const char* const names[] = {"Soprano", "Alto", "Tenor", "Bass"};
  static const char* const three[] = {"Soprano", "Alto", "Bass"};
  static const char* const five[]  = {"Soprano", "Soprano 2", "Alto", "Tenor", "Bass"};

  QfStatus st = qf_score_add_staff(score, "", QF_CLEF_TREBLE);
  st          = st ? st : qf_score_add_staff(score, "", QF_CLEF_BASS);
  for (size_t v = 0; !st && v < n_voices; ++v) {
    const size_t upper = n_voices == 3 ? 2U : n_voices - 2U;
    st                 = qf_score_add_voice(score,
                            n_voices == 3   ? three[v]
                                            : n_voices == 5 ? five[v]
                                                            : names[v],
                            v < upper ? 0 : 1);
  }
  return st;
}

/// An empty score for the voices; NULL if out of memory
static QfScore*
make_score(const QfLinks* const links, const size_t n_voices)
{
  if (n_voices == QF_SATB) {
    return qf_score_new_satb(links->key, links->metre, links->pickup, 1);
  }
  QfScore* const score = qf_score_new();
  QfStatus       st    = score ? add_voices(score, n_voices) : QF_ERR_NO_MEM;
  const QfTime   bar   = qf_metre_bar(links->metre);
  if (!st && links->pickup.num > 0) {
    st = qf_score_append_bar(score, (QfBar){.length = links->pickup,
                                            .offset = qf_time_sub(bar, links->pickup),
                                            .metre  = links->metre});
  }
  if (!st) {
    st = qf_score_append_bar(
      score, (QfBar){.length = bar, .offset = QF_TIME_ZERO, .number = 1, .metre = links->metre});
  }
  if (!st) {
    st = qf_score_set_signature(score, QF_TIME_ZERO, links->key);
  }
  if (st) {
    qf_score_free(score);
    return NULL;
  }
  return score;
}

/// Put the Nth best way into a new lesson
static QfStatus
make_lesson(const QfLinks* const    links,
            const QfWritings* const writings,
            const size_t            nth,
            QfLesson** const        result,
            QfError* const          error)
{
  if (nth > writings->n_writings) {
    return qf_error_set(error, QF_ERR_IMPOSSIBLE, "there are only %zu ways to write this chain",
                        writings->n_writings);
  }
  const size_t   n_voices = writings->n_voices;
  QfScore* const score    = make_score(links, n_voices);
  QfStatus       st       = score ? QF_OK : QF_ERR_NO_MEM;
  for (size_t i = 0; !st && i < links->n_links * n_voices; ++i) {
    const QfLink* const link  = &links->links[i / n_voices];
    const QfPitch       pitch = writings->writings[nth - 1U].pitches[i];
    const size_t        voice = i % n_voices;
    st = qf_score_put_note(score, voice, link->start, link->duration, pitch, QF_NO_NOTE, NULL);
  }
  *result = st ? NULL : qf_lesson_new_from_score(score);
  if (st) {
    qf_score_free(score);
  }
  return *result ? QF_OK : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
}

static QfExit
export_lesson(QfLesson* const lesson, const Options* const options, const QfLinks* const links)
{
  QfError  error = {0};
  QfStatus st    = qf_lesson_set_key(lesson, &links->key, &error);
  st             = st ? st : qf_lesson_pin_links(lesson, links->links, links->n_links, &error);
  if (!st && options->title) {
    st = qf_lesson_set_title(lesson, options->title, &error);
  }
  if (!st) {
    st = qf_document_export(lesson, options->output, qf_file_kind_of_path(options->output),
                            qf_export_options(lesson), &error);
  }

  return st ? fail(&error, options->output) : QF_EXIT_DONE;
}

/// Tell the ways, or write one of them
static QfExit
deliver(const QfLinks* const links, const QfWritings* const writings, const Options* const options)
{
  QfError error = {0};
  if (options->is_json) {
    char* const  text = writings_to_json(links, writings);
    const QfExit result =
      text ? write_output(options->output, text, strlen(text)) : QF_EXIT_MACHINE;
    free(text);
    return result;
  }

  QfLesson*      lesson = NULL;
  const QfStatus st     = make_lesson(links, writings, (size_t)options->nth, &lesson, &error);
  const QfExit   result = st ? fail(&error, "CHAIN") : export_lesson(lesson, options, links);
  qf_lesson_free(lesson);
  return result;
}

QfExit
realise_command(int argc, char** argv)
{
  Options options = {
    .profile = (QfProfile)NO_PROFILE, .n_voices = QF_SATB, .nth = 1.0, .n_best = 1.0};
  qf_metre(4, 4, &options.metre);
  const int early = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  QfError  error = {0};
  QfLinks  links = {0};
  QfStatus st = qf_links_parse(options.chain, options.has_key ? &options.key : NULL, options.metre,
                               &links, &error);
  if (st) {
    char place[64];
    snprintf(place, sizeof(place), "CHAIN, character %zu", error.offset + 1);
    return fail(&error, place);
  }

  QfWritings writings = {0};
  st                  = check_kept(&links, &options, &error);
  st                  = st ? st : write_ways(&links, &options, &writings, &error);
  const QfExit result = st ? fail(&error, "CHAIN") : deliver(&links, &writings, &options);

  qf_writings_clear(&writings);
  qf_links_clear(&links);
  return result;
}
