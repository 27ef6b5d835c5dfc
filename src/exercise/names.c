// SPDX-License-Identifier: MIT
#include "quintfall/exercise.h"
#include "quintfall/text.h"

#include <stdlib.h>
#include <string.h>

enum {
  N_FOREIGNS = 3,
};

/// Something with a short identity
typedef struct {
  const char* id;
  const char* name;
} Named;

// In the order of the bits of #QfUse
static const Named uses[QF_USE_N_BITS] = {
  {"secondary", "triads of the other degrees"},
  {"sevenths", "diatonic sevenths"},
  {"cadential", "the cadential six-four"},
  {"leading-tone", "leading-tone chords"},
  {"applied", "applied dominants"},
  {"applied-leading", "applied leading-tone sevenths"},
  {"chains", "chains of applied dominants"},
  {"mixture", "mixture"},
  {"neapolitan", "the Neapolitan"},
  {"augmented-sixths", "augmented sixths"},
};

static const Named rhythms[QF_RHYTHM_N_KINDS] = {{"bars", NULL},
                                                 {"half", NULL},
                                                 {"beats", NULL},
                                                 {"mixed", NULL}};

static const Named modulations[QF_MODULATION_N_KINDS] = {{"stay", NULL},
                                                         {"leave", NULL},
                                                         {"return", NULL},
                                                         {"either", NULL}};

// In the order of the bits of #QfExerciseForeign
static const Named foreigns[N_FOREIGNS] = {{"passing", NULL},
                                           {"neighbour", NULL},
                                           {"suspension", NULL}};

static const Named weights[QF_WEIGHTS_N_KINDS] = {
  {"common-practice",
   "Usual root progressions after the textbook table of W. Piston, Harmony (from "
   "memory)."},
  {"corpus", "Degrees counted in the analyses of the When in Rome corpus that the tests hold "
             "(CC BY-SA 4.0)."},
};

static const Named givens[QF_GIVE_N_KINDS] = {{"outer", NULL},
                                              {"bass", NULL},
                                              {"first-chord", NULL},
                                              {"first-outer", NULL},
                                              {"nothing", NULL}};

/// Index of an identity of so many bytes, or `n`
static size_t
find_id(const Named* const table, const size_t n, const char* const text, const size_t length)
{
  size_t i = 0;
  while (i < n && (strlen(table[i].id) != length || strncmp(table[i].id, text, length) != 0)) {
    ++i;
  }
  return i;
}

/// Complain about a word that is none of a table's
static QfStatus
refuse(const Named* const table,
       const size_t       n,
       const char* const  what,
       const char* const  text,
       const size_t       length,
       QfError* const     error)
{
  QfText list = {0};
  for (size_t i = 0; i < n; ++i) {
    qf_text_addf(&list, "%s%s", i ? ", " : "", table[i].id);
  }
  qf_error_set(error, QF_ERR_BAD_TEXT, "\"%.*s\" is no %s; there are %s",
               (int)(length < 40U ? length : 40U), text, what, list.data ? list.data : "");
  qf_text_free(&list);
  return QF_ERR_BAD_TEXT;
}

static size_t
bit_index(const QfUse use)
{
  size_t i = 0;
  while (i + 1U < QF_USE_N_BITS && !((unsigned)use & (1U << i))) {
    ++i;
  }
  return i;
}

const char*
qf_use_name(const QfUse use)
{
  return uses[bit_index(use)].name;
}

const char*
qf_use_id(const QfUse use)
{
  return uses[bit_index(use)].id;
}

/// Degree of "ii" or "V", 0 if it is none
static unsigned
parse_degree(const char* const text, const size_t length)
{
  static const char* const degrees[] = {"ii", "iii", "iv", "v", "vi", "vii"};
  for (unsigned i = 0; i < sizeof(degrees) / sizeof(degrees[0]); ++i) {
    if (strlen(degrees[i]) == length && !strncasecmp(text, degrees[i], length)) {
      return i + 2U;
    }
  }
  return 0;
}

QfStatus
qf_uses_parse(const char* const text,
              unsigned* const   result,
              unsigned* const   degrees,
              QfError* const    error)
{
  unsigned    bits    = 0;
  unsigned    targets = 0;
  const char* at      = text;
  while (*at) {
    const size_t length = strcspn(at, ",");
    const size_t head   = strcspn(at, ",/");
    const size_t index  = find_id(uses, QF_USE_N_BITS, at, head);
    if (index == QF_USE_N_BITS) {
      return refuse(uses, QF_USE_N_BITS, "kind of chord", at, head, error);
    }
    bits |= 1U << index;
    if (head < length) {
      const unsigned degree  = parse_degree(at + head + 1, length - head - 1U);
      const unsigned applied = QF_USE_APPLIED | QF_USE_APPLIED_LEADING | QF_USE_CHAINS;
      if (!degree || !((1U << index) & applied)) {
        return qf_error_set(error, QF_ERR_BAD_TEXT,
                            "\"%.*s\": only applied chords take a degree, such as applied/V",
                            (int)(length < 40U ? length : 40U), at);
      }
      targets |= 1U << degree;
    }
    at += length + (at[length] == ',');
  }

  // A chain cannot be had without what it is made of.
  *result  = bits & QF_USE_CHAINS ? bits | QF_USE_APPLIED : bits;
  *degrees = targets;
  return QF_OK;
}

const char*
qf_harmonic_rhythm_name(const QfHarmonicRhythm rhythm)
{
  return rhythms[rhythm].id;
}

QfStatus
qf_harmonic_rhythm_parse(const char* const       text,
                         QfHarmonicRhythm* const result,
                         QfError* const          error)
{
  const size_t index = find_id(rhythms, QF_RHYTHM_N_KINDS, text, strlen(text));
  if (index == QF_RHYTHM_N_KINDS) {
    return refuse(rhythms, QF_RHYTHM_N_KINDS, "harmonic rhythm", text, strlen(text), error);
  }
  *result = (QfHarmonicRhythm)index;
  return QF_OK;
}

const char*
qf_modulation_name(const QfModulation modulation)
{
  return modulations[modulation].id;
}

QfStatus
qf_exercise_foreign_parse(const char* const text, unsigned* const kinds, QfError* const error)
{
  unsigned bits = 0;
  for (const char* at = text; *at;) {
    const size_t length = strcspn(at, ",");
    const size_t index  = find_id(foreigns, N_FOREIGNS, at, length);
    if (index == N_FOREIGNS) {
      return refuse(foreigns, N_FOREIGNS, "kind of note outside the chords", at, length, error);
    }
    bits |= 1U << index;
    at += length + (at[length] == ',');
  }
  *kinds = bits;
  return QF_OK;
}

const char*
qf_weights_name(const QfWeights kind)
{
  return weights[kind].id;
}

const char*
qf_weights_source(const QfWeights kind)
{
  return weights[kind].name;
}

QfStatus
qf_weights_parse(const char* const text, QfWeights* const result, QfError* const error)
{
  const size_t index = find_id(weights, QF_WEIGHTS_N_KINDS, text, strlen(text));
  if (index == QF_WEIGHTS_N_KINDS) {
    return refuse(weights, QF_WEIGHTS_N_KINDS, "source of weights", text, strlen(text), error);
  }
  *result = (QfWeights)index;
  return QF_OK;
}

const char*
qf_exercise_givens_name(const QfExerciseGivens kind)
{
  return givens[kind].id;
}

QfStatus
qf_exercise_givens_parse(const char* const       text,
                         QfExerciseGivens* const result,
                         QfError* const          error)
{
  const size_t index = find_id(givens, QF_GIVE_N_KINDS, text, strlen(text));
  if (index == QF_GIVE_N_KINDS) {
    return refuse(givens, QF_GIVE_N_KINDS, "way to give notes", text, strlen(text), error);
  }
  *result = (QfExerciseGivens)index;
  return QF_OK;
}
