// SPDX-License-Identifier: MIT
#include "command.h"
#include "json_out.h"
#include "options.h"

#include "quintfall/explore.h"
#include "quintfall/text.h"
#include "quintfall/writing.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char usage[] =
  "Usage: qf explore CHAIN [--key KEY] [--metre M] [--after N] [--profile P] [--most N]\n"
  "                  [--as text|json] [-o OUT]\n\n"
  "List where a chain could go next: how common it is in the corpus, and how it is led.\n\n"
  "  CHAIN        numerals and bar lines: \"A: vi V7/ii | ii V7 I(2)\"; (N) is a length in beats\n"
  "  --key KEY    key, unless CHAIN begins with one\n"
  "  --metre M    metre, 4/4 unless given\n"
  "  --after N    go on from the Nth chord, the last unless given\n"
  "  --profile P  judge the voice leading by strict, common (unless given) or free\n"
  "  --most N     list at most N ways, all unless given\n"
  "  --as FORM    text or json, on standard output\n"
  "  -o OUT       write the list to OUT\n";

enum {
  MAX_CHORDS = 100000,
  MAX_ITEMS  = 1000,
};

typedef struct {
  const char* chain;
  const char* output;
  bool        has_key;
  int         form;  ///< Index in text_or_json
  int         after; ///< From 1, or 0 for the last
  int         most;
  QfKey       key;
  QfMetre     metre;
  QfProfile   profile;
} Options;

/// Read the arguments; a negative answer means go on
static int
parse_options(int argc, char** argv, Options* const options)
{
  const Option list[] = {
    {"key", take_key, &options->key, &options->has_key},
    {"metre", take_metre, &options->metre},
    {"after", take_whole, &options->after, .low = 1.0, .high = MAX_CHORDS},
    {"profile", take_profile, &options->profile},
    {"most", take_whole, &options->most, .low = 1.0, .high = MAX_ITEMS},
    {"as", take_word, &options->form, .words = text_or_json},
    {"output", take_text, &options->output},
  };

  int       first = 0;
  const int early = read_options(argc, argv, (OptionTable){usage, list, N_OPTIONS(list)}, &first);
  if (early < 0 && argc - first != 1) {
    return (int)usage_error(usage, "explore takes one CHAIN");
  }
  options->chain = early < 0 ? argv[first] : NULL;
  return early;
}

static json_object*
pitches_to_json(const QfVoicing* const voicing)
{
  json_object* const list = json_object_new_array();
  for (size_t v = 0; v < QF_SATB; ++v) {
    char text[16];
    qf_pitch_write(voicing->pitch[v], text, sizeof(text));
    json_object_array_add(list, json_object_new_string(text));
  }
  return list;
}

static json_object*
item_to_json(const QfContinuation* const item, const QfKey key)
{
  json_object* const object = json_object_new_object();
  char               numeral[QF_NUMERAL_TEXT_SIZE];
  char               motion[48];
  char               key_text[16];
  qf_numeral_write(&item->numeral, key.mode, numeral, sizeof(numeral));
  qf_root_motion_describe(item->motion, motion, sizeof(motion));
  qf_key_write(key, key_text, sizeof(key_text));

  json_add_text(object, "numeral", numeral);
  json_add_text(object, "key", key_text);
  json_add_text(object, "stock", qf_stock_name(item->stock));
  json_add_text(object, "function", qf_function_name(item->function));
  json_add_text(object, "motion", motion);
  json_object_object_add(object, "falling_fifth",
                         json_object_new_boolean(qf_root_motion_is_falling_fifth(item->motion)));
  json_add_text(object, "resolution", qf_resolution_name(item->resolution));
  json_object_object_add(object, "count", json_object_new_int((int)item->count));
  json_object_object_add(object, "share", json_object_new_double(item->share));
  json_object_object_add(object, "is_present", json_object_new_boolean(item->is_present));
  json_object_object_add(object, "pitches", pitches_to_json(&item->voicing));
  json_object_object_add(object, "cost", item->cost < 0 ? NULL : json_object_new_int(item->cost));
  json_object_object_add(object, "semitones", json_object_new_int(item->semitones));
  json_object_object_add(object, "errors", json_object_new_int(item->n_errors));
  json_object_object_add(object, "warnings", json_object_new_int(item->n_warnings));
  json_add_text(object, "finding", item->finding);
  json_add_text(object, "reason", item->reason);
  return object;
}

static char*
to_json(const QfContinuations* const found, const QfLink* const link, const size_t most)
{
  json_object* const root = json_object_new_object();
  json_object* const list = json_object_new_array();
  char               numeral[QF_NUMERAL_TEXT_SIZE];
  qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));

  json_add_text(root, "from", numeral);
  json_object_object_add(root, "pitches", pitches_to_json(&found->voicing));
  json_object_object_add(root, "moves", json_object_new_int((int)found->n_moves));
  json_object_object_add(root, "leaving", json_object_new_int((int)found->n_leaving));
  for (size_t i = 0; i < found->n_items && i < most; ++i) {
    json_object_array_add(list, item_to_json(&found->items[i], link->key));
  }
  json_object_object_add(root, "continuations", list);
  return json_take_text(root);
}

static void
add_line(QfText* const out, const QfContinuation* const item, const QfKey key)
{
  char numeral[QF_NUMERAL_TEXT_SIZE];
  char motion[48];
  qf_numeral_write(&item->numeral, key.mode, numeral, sizeof(numeral));
  qf_root_motion_describe(item->motion, motion, sizeof(motion));

  qf_text_addf(out, "%-10s %4u %5.1f %%  %-16s %c ", numeral, item->count, 100.0 * item->share,
               motion, qf_root_motion_is_falling_fifth(item->motion) ? 'v' : ' ');
  for (size_t v = 0; v < QF_SATB; ++v) {
    char pitch[16];
    qf_pitch_write(item->voicing.pitch[v], pitch, sizeof(pitch));
    qf_text_addf(out, " %-4s", pitch);
  }
  if (item->cost < 0) {
    qf_text_add(out, "  rough");
  } else {
    qf_text_addf(out, "  %5d", item->cost);
  }
  qf_text_addf(out, "  %s\n", item->reason);
  if (item->finding[0]) {
    qf_text_addf(out, "%*s%s\n", 12, "", item->finding);
  }
}

static char*
to_table(const QfContinuations* const found, const QfLink* const link, const size_t most)
{
  QfText out = {0};
  char   numeral[QF_NUMERAL_TEXT_SIZE];
  char   key[16];
  qf_numeral_write(&link->numeral, link->key.mode, numeral, sizeof(numeral));
  qf_key_write(link->key, key, sizeof(key));

  qf_text_addf(&out, "after %s in %s: %u moves in the corpus, %u of them into another key\n",
               numeral, key, found->n_moves, found->n_leaving);
  for (size_t i = 0; i < found->n_items && i < most; ++i) {
    add_line(&out, &found->items[i], link->key);
  }
  return qf_text_take(&out);
}

/// The voicings that the best writing of the chain gives; NULL with an error
static QfVoicing*
voice_chain(const QfLinks* const links, QfError* const error)
{
  QfVoicing* const voicings = (QfVoicing*)calloc(links->n_links + 1U, sizeof(QfVoicing));
  const QfStatus   st =
    voicings ? qf_realise(links->links, links->n_links, (QfRealiseOptions){0}, voicings, error)
               : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  if (st) {
    free(voicings);
    return NULL;
  }
  return voicings;
}

static QfStatus
explore_chain(const QfLinks* const   links,
              const Options* const   options,
              size_t* const          at,
              QfContinuations* const found,
              QfError* const         error)
{
  const size_t n = links->n_links;
  *at            = options->after > 0 ? (size_t)options->after - 1U : n - 1U;
  if (!n || *at >= n) {
    return qf_error_set(error, QF_ERR_RANGE, "--after names chord %zu, but the chain has %zu",
                        *at + 1U, n);
  }

  QfVoicing* const voicings = voice_chain(links, error);
  if (!voicings) {
    return error->status;
  }
  const bool          has_after = *at + 2U < n;
  const QfExploreFrom from      = {.link          = links->links[*at],
                                   .voicing       = &voicings[*at],
                                   .next          = *at + 1U < n ? &links->links[*at + 1U] : NULL,
                                   .after         = has_after ? &links->links[*at + 2U] : NULL,
                                   .after_voicing = has_after ? &voicings[*at + 2U] : NULL,
                                   .profile       = options->profile};
  const QfStatus      st        = qf_explore(&from, found, error);
  free(voicings);
  return st;
}

QfExit
explore_command(int argc, char** argv)
{
  Options options = {.profile = QF_PROFILE_COMMON, .most = MAX_ITEMS};
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

  size_t          at    = 0;
  QfContinuations found = {0};
  st                    = explore_chain(&links, &options, &at, &found, &error);
  QfExit result         = QF_EXIT_DONE;
  if (st) {
    result = fail(&error, "CHAIN");
  } else {
    const size_t most = (size_t)options.most;
    result = write_text(options.output, options.form ? to_json(&found, &links.links[at], most)
                                                     : to_table(&found, &links.links[at], most));
  }
  qf_continuations_clear(&found);
  qf_links_clear(&links);
  return result;
}
