// SPDX-License-Identifier: MIT
#include "command.h"

#include "quintfall/realise.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf realise CHAIN [--key KEY] [--metre M] [--keep VOICE@N=PITCH]... [--title T] -o OUT\n\n"
  "Write a chain of numerals out in four parts.\n\n"
  "  CHAIN        numerals and bar lines: \"A: vi V7/ii | ii V7 I(2)\"; (N) is a length in beats\n"
  "  --key KEY    key, unless CHAIN begins with one\n"
  "  --metre M    metre, 4/4 unless given\n"
  "  --keep ...   keep a note: soprano@1=C#5 is the soprano of the first chord\n"
  "  --title T    title of the result\n"
  "  -o OUT       .json, .musicxml, .mxl, .mid, .pdf, .svg, .png, .wav, .flac or .ogg\n";

enum { MAX_KEPT = 256 };

typedef struct {
  const char* chain;
  const char* output;
  const char* title;
  bool        has_key;
  QfKey       key;
  QfMetre     metre;
  QfKept      kept[MAX_KEPT];
  size_t      n_kept;
} Options;

/// Read "soprano@1=C#5"
static QfStatus
parse_kept(const char* const text, QfKept* const kept, QfError* const error)
{
  static const char* const voices[] = {"soprano", "alto", "tenor", "bass"};

  const char* const at = strchr(text, '@');
  for (size_t v = 0; at && v < QF_SATB; ++v) {
    if (strlen(voices[v]) != (size_t)(at - text) || strncmp(text, voices[v], strlen(voices[v]))) {
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

/// Read one option; true if it was understood, otherwise it has been complained about
static bool
take_option(const int c, Options* const options)
{
  QfError     error = {0};
  const char* name  = "";

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
        parse_kept(optarg, &options->kept[options->n_kept++], &error);
      }
      break;
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
    {"title", required_argument, NULL, 't'},
    {"output", required_argument, NULL, 'o'},
    {"help", no_argument, NULL, 'h'},
    {NULL, 0, NULL, 0},
  };

  for (int c = 0; (c = getopt_long(argc, argv, "k:m:K:t:o:h", table, NULL)) != -1;) {
    if (c == 'h') {
      return (int)write_output(NULL, usage, strlen(usage));
    }
    if (!take_option(c, options)) {
      return QF_EXIT_INPUT;
    }
  }

  if (argc - optind != 1 || !options->output) {
    return (int)usage_error(usage, "realise takes one CHAIN and -o OUT");
  }

  options->chain = argv[optind];
  return -1;
}

/// Realise links with the kept notes into a new lesson
static QfStatus
make_lesson(const QfLinks* const links,
            const Options* const options,
            QfLesson** const     result,
            QfError* const       error)
{
  for (size_t i = 0; i < options->n_kept; ++i) {
    if (options->kept[i].link >= links->n_links) {
      return qf_error_set(error, QF_ERR_RANGE, "--keep names chord %zu, but the chain has %zu",
                          options->kept[i].link + 1, links->n_links);
    }
  }

  const QfRealiseOptions realise = {NULL, NULL, options->kept, options->n_kept};
  QfVoicing* const       voices  = (QfVoicing*)calloc(links->n_links + 1U, sizeof(QfVoicing));
  QfScore* const         score   = qf_score_new_satb(links->key, links->metre, links->pickup, 1);

  QfStatus st = voices && score ? qf_realise(links->links, links->n_links, realise, voices, error)
                                : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  if (!st && qf_realise_into(score, links->links, links->n_links, voices)) {
    st = qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  free(voices);
  if (st) {
    qf_score_free(score);
    return st;
  }

  *result = qf_lesson_new_from_score(score);
  return *result ? QF_OK : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
}

static QfExit
export_lesson(QfLesson* const lesson, const Options* const options, const QfLinks* const links)
{
  QfError  error = {0};
  QfStatus st    = qf_lesson_set_key(lesson, &links->key, &error);
  for (size_t i = 0; !st && i < links->n_links; ++i) {
    const QfLink* const link = &links->links[i];
    st = qf_lesson_pin(lesson, (QfPin){link->start, link->key, link->numeral}, &error);
  }
  if (!st && options->title) {
    st = qf_lesson_set_title(lesson, options->title, &error);
  }
  if (!st) {
    st = qf_document_export(lesson, options->output, qf_file_kind_of_path(options->output),
                            qf_export_options(lesson), &error);
  }

  return st ? fail(&error, options->output) : QF_EXIT_DONE;
}

QfExit
realise_command(int argc, char** argv)
{
  Options options = {0};
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

  QfLesson* lesson    = NULL;
  st                  = make_lesson(&links, &options, &lesson, &error);
  const QfExit result = st ? fail(&error, "CHAIN") : export_lesson(lesson, &options, &links);

  qf_lesson_free(lesson);
  qf_links_clear(&links);
  return result;
}
