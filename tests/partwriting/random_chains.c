// SPDX-License-Identifier: MIT
#include "random_chains.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef enum { TONIC, PREDOMINANT, DOMINANT, CADENTIAL, APPLIED } Class;

/// A chord and what it may lead to
typedef struct {
  const char* numeral;
  Class       kind;
  const char* goal; ///< Of applied chords, sixths that lead to V, and inversions that need one
} Word;

static const Word major[] = {
  {"I", TONIC, NULL},          {"I6", TONIC, NULL},         {"vi", TONIC, NULL},
  {"iii", TONIC, "vi"},        {"ii", PREDOMINANT, NULL},   {"ii6", PREDOMINANT, NULL},
  {"ii7", PREDOMINANT, NULL},  {"ii65", PREDOMINANT, NULL}, {"IV", PREDOMINANT, NULL},
  {"IV6", PREDOMINANT, NULL},  {"V", DOMINANT, NULL},       {"V6", DOMINANT, "I"},
  {"V7", DOMINANT, NULL},      {"V65", DOMINANT, "I"},      {"V43", DOMINANT, "I"},
  {"V42", DOMINANT, "I6"},     {"viio6", DOMINANT, "I"},    {"vii/o7", DOMINANT, "I"},
  {"Cad64", CADENTIAL, "V7"},  {"V7/V", APPLIED, "V"},      {"V65/V", APPLIED, "V"},
  {"V7/ii", APPLIED, "ii"},    {"V65/ii", APPLIED, "ii"},   {"V7/vi", APPLIED, "vi"},
  {"V7/IV", APPLIED, "IV"},    {"V42/IV", APPLIED, "IV6"},  {"V7/iii", APPLIED, "iii"},
  {"viio7/V", APPLIED, "V"},   {"viio7/ii", APPLIED, "ii"}, {"N6", APPLIED, "V"},
  {"Ger65", APPLIED, "Cad64"}, {"It6", APPLIED, "V"},       {"Fr43", APPLIED, "V"},
};

static const Word minor[] = {
  {"i", TONIC, NULL},         {"i6", TONIC, NULL},         {"VI", TONIC, NULL},
  {"III", TONIC, "VI"},       {"iio6", PREDOMINANT, NULL}, {"ii/o65", PREDOMINANT, NULL},
  {"iv", PREDOMINANT, NULL},  {"iv6", PREDOMINANT, NULL},  {"V", DOMINANT, NULL},
  {"V6", DOMINANT, "i"},      {"V7", DOMINANT, NULL},      {"V65", DOMINANT, "i"},
  {"V43", DOMINANT, "i"},     {"V42", DOMINANT, "i6"},     {"viio6", DOMINANT, "i"},
  {"viio7", DOMINANT, "i"},   {"Cad64", CADENTIAL, "V7"},  {"V7/V", APPLIED, "V"},
  {"V65/V", APPLIED, "V"},    {"V7/iv", APPLIED, "iv"},    {"V65/iv", APPLIED, "iv"},
  {"V7/III", APPLIED, "III"}, {"V7/VI", APPLIED, "VI"},    {"viio7/V", APPLIED, "V"},
  {"N6", APPLIED, "V"},       {"Ger65", APPLIED, "Cad64"}, {"It6", APPLIED, "V"},
  {"Fr43", APPLIED, "V"},
};

static unsigned
draw(unsigned* const seed, const unsigned n)
{
  *seed = *seed * 1664525U + 1013904223U;
  return (*seed >> 8U) % n;
}

static bool
may_follow(const Word* const word, const Word* const next)
{
  if (word->goal) {
    return !strcmp(word->goal, next->numeral);
  }
  switch (word->kind) {
    case TONIC:
      return word != next;
    case PREDOMINANT:
      return next->kind == DOMINANT || next->kind == CADENTIAL;
    default: // V and V7: to the tonic, or deceptively
      return !strcasecmp(next->numeral, "I") || !strcasecmp(next->numeral, "vi");
  }
}

/// A cadential six-four is stronger than its dominant: on the first or third beat of four
static bool
may_stand_at(const Word* const word, const size_t beat)
{
  const bool leads_there = word->goal && !strcmp(word->goal, "Cad64");
  return word->kind == CADENTIAL ? beat % 2U == 0 : !leads_there || beat % 2U == 1U;
}

static RandomChain
draw_chain(unsigned* const seed, const bool is_orderly)
{
  const QfMode      mode  = draw(seed, 2) ? QF_MINOR : QF_MAJOR;
  const Word* const words = mode == QF_MAJOR ? major : minor;
  const unsigned    n_words =
    mode == QF_MAJOR ? sizeof(major) / sizeof(major[0]) : sizeof(minor) / sizeof(minor[0]);
  RandomChain chain = {.n_links = 3U + draw(seed, RANDOM_CHAIN_MAX - 2U)};
  unsigned    at    = is_orderly ? 0 : draw(seed, n_words);
  qf_key_from_fifths((int)draw(seed, 15) - 7, mode, &chain.key);
  for (size_t i = 0; i < chain.n_links; ++i) {
    QfLink* const link = &chain.links[i];
    link->key          = chain.key;
    link->start        = qf_time((int64_t)i, 4);
    link->duration     = qf_time(1, 4);
    if (qf_numeral_parse(words[at].numeral, mode, &link->numeral, NULL)) {
      abort(); // The words above are numerals
    }
    unsigned next = draw(seed, n_words);
    while (is_orderly &&
           !(may_follow(&words[at], &words[next]) && may_stand_at(&words[next], i + 1U))) {
      next = draw(seed, n_words);
    }
    at = next;
  }
  // A six-four at the end has nothing to cadence on.
  const QfNumeralForm last = chain.links[chain.n_links - 1U].numeral.form;
  chain.n_links -= last == QF_NUMERAL_CADENTIAL;
  return chain;
}

RandomChain
random_chain(unsigned* const seed)
{
  return draw_chain(seed, true);
}

RandomChain
random_heap(unsigned* const seed)
{
  return draw_chain(seed, false);
}

void
random_chain_write(const RandomChain* const chain, char* const buffer, const size_t size)
{
  qf_key_write(chain->key, buffer, size);
  strncat(buffer, ":", size - strlen(buffer) - 1U);
  for (size_t i = 0; i < chain->n_links; ++i) {
    char numeral[QF_NUMERAL_TEXT_SIZE];
    qf_numeral_write(&chain->links[i].numeral, chain->key.mode, numeral, sizeof(numeral));
    strncat(buffer, " ", size - strlen(buffer) - 1U);
    strncat(buffer, numeral, size - strlen(buffer) - 1U);
  }
}

QfScore*
random_chain_realise(const RandomChain* const chain, const QfProfile profile)
{
  const QfWriteOptions options  = {.profile = profile};
  QfWritings           writings = {0};
  QfMetre              metre;
  qf_metre(4, 4, &metre);
  if (qf_write(chain->links, chain->n_links, options, &writings, NULL, NULL)) {
    return NULL;
  }
  QfScore* const score = qf_score_new_satb(chain->key, metre, QF_TIME_ZERO, 2);
  for (size_t i = 0; score && i < chain->n_links; ++i) {
    for (size_t v = 0; v < QF_SATB; ++v) {
      const QfPitch pitch = writings.writings[0].pitches[i * QF_SATB + v];
      qf_score_put_note(score, v, chain->links[i].start, chain->links[i].duration, pitch,
                        QF_NO_NOTE, NULL);
    }
  }
  qf_writings_clear(&writings);
  return score;
}
