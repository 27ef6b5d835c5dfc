// SPDX-License-Identifier: MIT
#include "command.h"

#include "options.h"
#include "parts.h"
#include "realise_request.h"
#include "writings_text.h"
#include "written.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf realise CHAIN [--key KEY] [--metre M] [--profile P] [--keep VOICE@N=PITCH]...\n"
  "                  [--line VOICE=FILE]... [--double N=MEMBER]... [--range VOICE=LOW-HIGH]...\n"
  "                  [--voices N] [--keyboard] [--nth N] [--as json [--best N]] [--title T]\n"
  "                  [-o OUT]\n\n"
  "Write a chain of numerals out in the best way there is.\n\n"
  "  CHAIN         numerals and bar lines: \"A: vi V7/ii | ii V7 I(2)\"; (N) is a length in beats\n"
  "  --key KEY     key, unless CHAIN begins with one\n"
  "  --metre M     metre, 4/4 unless given\n"
  "  --profile P   make no error of strict, common (unless given) or free\n"
  "  --keep ...    keep a note: soprano@1=C#5 is the soprano of the first chord; or a whole chord\n"
  "                from the highest voice down: 2=E5,C5,G4,C3\n"
  "  --line ...    keep a whole voice as it stands in a file: bass=hymn.musicxml takes the "
  "lowest,\n"
  "                bass=hymn.musicxml:2 the second voice, which can also be named\n"
  "  --double ...  wish for a doubling: 3=third doubles the third of the third chord\n"
  "  --range ...   a voice's own range, alto=G3-C5\n"
  "  --voices N    3, 4 or 5 voices; with 3 soprano, alto, bass; with 5 a soprano2\n"
  "  --keyboard    the upper voices in one hand, within an octave; the bass alone\n"
  "  --nth N       the Nth best way instead of the best\n"
  "  --as json     tell the pitches and the cost of the --best N ways on standard output, or OUT\n"
  "  --title T     title of the result\n"
  "  -o OUT        .json, .musicxml, .mxl, .mid, .pdf, .svg, .png, .wav, .flac or .ogg\n";

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, RealiseOptions* const options)
{
  static const char* const forms[] = {"json", NULL};

  int          form   = 0;
  const Option list[] = {
    {"key", take_key, &options->key, &options->has_key},
    {"metre", take_metre, &options->metre},
    {"keep", take_texts, &options->kept},
    {"line", take_texts, &options->lines},
    {"double", take_texts, &options->doublings},
    {"range", take_texts, &options->ranges},
    {"profile", take_profile, &options->profile, &options->has_profile},
    {"voices", take_whole, &options->n_voices, .low = QF_WRITING_MIN_VOICES,
     .high = QF_WRITING_MAX_VOICES},
    {"keyboard", take_flag, &options->is_keyboard},
    {"nth", take_whole, &options->nth, .low = 1.0, .high = QF_WRITING_MAX_BEST},
    {"best", take_whole, &options->n_best, .low = 1.0, .high = QF_WRITING_MAX_BEST},
    {"as", take_word, &form, &options->is_json, .words = forms},
    {"title", take_text, &options->title},
    {"output", take_text, &options->output},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early >= 0) {
    return early;
  }
  if (argc - first != 1 || (!options->output && !options->is_json)) {
    return (int)usage_error(usage, "realise takes one CHAIN, and -o OUT or --as json");
  }

  options->chain = argv[first];
  return -1;
}

/// Find the ways asked for; if there is none, say whether a milder profile has one
static QfExit
write_ways(const RealiseOptions* const options,
           const Request* const        request,
           QfWritings* const           result)
{
  const QfLinks* const links  = &request->links;
  const int            n_best = options->nth > options->n_best ? options->nth : options->n_best;
  QfWriteOptions       write  = {.profile     = options->profile,
                                 .n_voices    = (size_t)options->n_voices,
                                 .is_keyboard = options->is_keyboard,
                                 .kept        = request->kept,
                                 .n_kept      = request->n_kept,
                                 .n_best      = (size_t)n_best,
                                 .doublings   = request->doublings,
                                 .n_doublings = request->n_doublings,
                                 .ranges      = request->ranges,
                                 .n_ranges    = request->n_ranges,
                                 .on_downbeat = request->on_downbeat};
  QfError              error  = {0};
  const QfStatus       st     = qf_write(links->links, links->n_links, write, result, NULL, &error);
  if (!st) {
    return QF_EXIT_DONE;
  }
  fail(&error, "CHAIN");
  if (st == QF_ERR_IMPOSSIBLE) {
    QfWritings milder = {0};
    write.n_best      = 1;
    while (++write.profile < QF_PROFILE_N_KINDS) {
      if (!qf_write(links->links, links->n_links, write, &milder, NULL, NULL)) {
        fprintf(stderr, "qf: that is with --profile %s%s; --profile %s can write it\n",
                qf_profile_name(options->profile), options->has_profile ? "" : " (unless given)",
                qf_profile_name(write.profile));
        break;
      }
    }
    qf_writings_clear(&milder);
  }
  return exit_of(st);
}

/// Say which doublings were wished for and are not there
static void
tell_ungranted(const Request* const request, const QfWriting* const writing, const size_t n_voices)
{
  for (size_t i = 0; i < request->n_doublings; ++i) {
    const QfDoubling    wish  = request->doublings[i];
    const QfLink* const link  = &request->links.links[wish.link];
    QfChord             chord = {0};
    size_t              n     = 0;
    qf_numeral_chord(&link->numeral, link->key, &chord, NULL);
    for (size_t v = 0; v < n_voices; ++v) {
      const QfPitch pitch = writing->pitches[wish.link * n_voices + v];
      n += qf_chord_member_of(chord, qf_pitch_name(pitch)) == wish.member;
    }
    if (n < 2) {
      fprintf(stderr,
              "CHAIN: note: the %s of chord %zu is not doubled; no way without an error "
              "does it\n",
              part_member_name(wish.member), wish.link + 1U);
    }
  }
}

/// Tell the ways, or write one of them
static QfExit
deliver(const RealiseOptions* const options,
        const Request* const        request,
        const QfWritings* const     ways)
{
  const QfLinks* const links = &request->links;
  if (options->is_json) {
    return write_text(options->output, writings_to_json(links, ways, options->profile));
  }

  const size_t nth = (size_t)options->nth;
  if (nth > ways->n_writings) {
    fprintf(stderr, "--nth: there are only %zu ways to write this chain\n", ways->n_writings);
    return QF_EXIT_INPUT;
  }
  Written written = {.links       = links->links,
                     .n_links     = links->n_links,
                     .pitches     = ways->writings[nth - 1U].pitches,
                     .n_voices    = ways->n_voices,
                     .key         = links->key,
                     .metre       = links->metre,
                     .pickup      = links->pickup,
                     .is_keyboard = options->is_keyboard,
                     .title       = options->title};
  for (size_t v = 0; v < ways->n_voices; ++v) {
    written.lines[v] = request->has_line[v] ? &request->lines[v] : NULL;
  }
  return written_export(&written, options->output);
}

QfExit
realise_command(int argc, char** argv)
{
  RealiseOptions options = {
    .profile = QF_PROFILE_COMMON, .n_voices = QF_SATB, .nth = 1, .n_best = 1};
  qf_metre(4, 4, &options.metre);
  const int early = parse_options(argc, argv, &options);
  if (early >= 0) {
    return (QfExit)early;
  }

  Request* const request = (Request*)calloc(1, sizeof(Request));
  QfWritings     ways    = {0};
  QfExit         result  = request ? request_make(&options, request) : QF_EXIT_MACHINE;
  result                 = result ? result : write_ways(&options, request, &ways);
  if (!result) {
    const size_t chosen = (size_t)options.nth <= ways.n_writings ? (size_t)options.nth - 1U : 0U;
    tell_ungranted(request, &ways.writings[chosen], ways.n_voices);
    result = deliver(&options, request, &ways);
  }
  qf_writings_clear(&ways);
  if (request) {
    request_clear(request);
  }
  free(request);
  return result;
}
