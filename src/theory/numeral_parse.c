// SPDX-License-Identifier: MIT
#include "accidental.h"
#include "numeral_reading.h"
#include "numeral_rules.h"

#include <stdlib.h>
#include <string.h>

enum {
  MAX_DEGREE_SIGNS = 3, ///< Most signs before a degree; more cannot be spelled in any key
  MAX_DEPTH        = QF_NUMERAL_MAX_TARGETS,
};

QfStatus
qf_numeral_fault(const NumeralReader* const reader, const size_t offset, const char* const expected)
{
  return qf_error_at(reader->error, offset,
                     qf_error_set(reader->error, QF_ERR_BAD_TEXT,
                                  "\"%.40s\" is not a numeral at \"%.16s\": expected %s",
                                  reader->text, reader->text + offset, expected));
}

static bool
take(NumeralReader* const reader, const char* const word)
{
  const size_t length = strlen(word);
  if (strncmp(reader->text + reader->at, word, length)) {
    return false;
  }
  reader->at += length;
  return true;
}

/// Read signs; RomanText also writes a flat as a hyphen
static int
read_signs(NumeralReader* const reader)
{
  int          alter  = 0;
  const size_t n_read = qf_accidental_read(reader->text + reader->at, &alter);
  reader->at += n_read;
  while (!n_read && take(reader, "-")) {
    --alter;
  }
  return alter;
}

static QfStatus
read_head(NumeralReader* const reader, NumeralHead* const head)
{
  // Longer words first
  static const struct {
    const char* word;
    NumeralHead head;
  } heads[] = {
    {"Cad", {HEAD_CADENTIAL, QF_NUMERAL_CADENTIAL, 1, false, 0}},
    {"Ger", {HEAD_SIXTH, QF_NUMERAL_GERMAN, 4, false, 0}},
    {"It", {HEAD_SIXTH, QF_NUMERAL_ITALIAN, 4, false, 0}},
    {"Fr", {HEAD_SIXTH, QF_NUMERAL_FRENCH, 2, false, 0}},
    {"Sw", {HEAD_SIXTH, QF_NUMERAL_SWISS, 4, false, 0}},
    {"N", {HEAD_NEAPOLITAN, QF_NUMERAL_NEAPOLITAN, 2, false, 0}},
    {"VII", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 7, false, 0}},
    {"VI", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 6, false, 0}},
    {"V", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 5, false, 0}},
    {"IV", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 4, false, 0}},
    {"III", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 3, false, 0}},
    {"II", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 2, false, 0}},
    {"I", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 1, false, 0}},
    {"vii", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 7, true, 0}},
    {"vi", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 6, true, 0}},
    {"v", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 5, true, 0}},
    {"iv", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 4, true, 0}},
    {"iii", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 3, true, 0}},
    {"ii", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 2, true, 0}},
    {"i", {HEAD_ROMAN, QF_NUMERAL_ROMAN, 1, true, 0}},
  };

  const size_t start = reader->at;
  const int    signs = read_signs(reader);
  for (size_t i = 0; i < sizeof(heads) / sizeof(heads[0]); ++i) {
    if (take(reader, heads[i].word)) {
      *head       = heads[i].head;
      head->signs = signs;
      if (signs && head->type != HEAD_ROMAN) {
        return qf_numeral_fault(reader, start, "no sharp or flat before this name");
      }
      if (abs(signs) > MAX_DEGREE_SIGNS) {
        return qf_numeral_fault(reader, start, "at most three sharps or flats");
      }
      return QF_OK;
    }
  }
  return qf_numeral_fault(reader, start, "I to VII, i to vii, N, It, Fr, Ger, Sw or Cad");
}

static bool
read_quality(NumeralReader* const reader, NumeralBody* const body)
{
  typedef enum { HALF, DIMINISHED, AUGMENTED, MAJOR_SIGN, MINOR_SIGN } Sign;

  static const struct {
    const char* word;
    Sign        sign;
  } signs[] = {
    {"/o", HALF},        {"/0", HALF},        {"\u00F8", HALF},       {"\u00D8", HALF},
    {"%", HALF},         {"o", DIMINISHED},   {"\u00B0", DIMINISHED}, {"+", AUGMENTED},
    {"maj", MAJOR_SIGN}, {"Maj", MAJOR_SIGN}, {"M", MAJOR_SIGN},      {"min", MINOR_SIGN},
    {"m", MINOR_SIGN},   {"dom", MINOR_SIGN}, {"d", MINOR_SIGN},
  };

  for (size_t i = 0; i < sizeof(signs) / sizeof(signs[0]); ++i) {
    if (take(reader, signs[i].word)) {
      body->is_half        = body->is_half || signs[i].sign == HALF;
      body->is_diminished  = body->is_diminished || signs[i].sign == DIMINISHED;
      body->is_augmented   = body->is_augmented || signs[i].sign == AUGMENTED;
      body->has_major_sign = body->has_major_sign || signs[i].sign == MAJOR_SIGN;
      body->has_minor_sign = body->has_minor_sign || signs[i].sign == MINOR_SIGN;
      return true;
    }
  }
  return false;
}

static bool
is_digit(const char c)
{
  return c >= '0' && c <= '9';
}

/// Read one figure, with the slash that may part it from the one before
static bool
read_figure(NumeralReader* const reader, NumeralBody* const body)
{
  const char* c = reader->text + reader->at;
  if (*c == '/' && body->n_figures) {
    ++c;
  }
  if (!is_digit(*c) || body->n_figures == MAX_NUMERAL_FIGURES) {
    return false;
  }

  body->figures[body->n_figures++] = *c;
  reader->at                       = (size_t)(c + 1 - reader->text);
  return true;
}

static QfStatus
read_change(NumeralReader* const reader, NumeralBody* const body)
{
  const size_t start = reader->at;
  take(reader, "[");

  const bool is_added = take(reader, "add");
  const bool is_no    = !is_added && take(reader, "no");
  int        alter    = read_signs(reader);
  int        step     = 0;
  while (is_digit(reader->text[reader->at]) && step < 100) {
    step = 10 * step + (reader->text[reader->at++] - '0');
  }
  if (!take(reader, "]") || step < 1 || step > 13 || abs(alter) > 2 || (is_no && alter)) {
    return qf_numeral_fault(reader, start, "such as [add4], [addb9], [no3] or [b9]");
  }
  if (body->n_changes == QF_NUMERAL_MAX_CHANGES) {
    return qf_numeral_fault(reader, start, "at most four changes in brackets");
  }

  body->replaces[body->n_changes]  = !is_added && !is_no;
  body->changes[body->n_changes++] = (QfChange){(int8_t)step, (int8_t)alter, !is_no};
  return QF_OK;
}

static QfStatus
read_body(NumeralReader* const reader, NumeralBody* const body)
{
  for (;;) {
    if (reader->text[reader->at] == '[') {
      const QfStatus st = read_change(reader, body);
      if (st) {
        return st;
      }
    } else if (!read_quality(reader, body) && !read_figure(reader, body)) {
      return QF_OK;
    }
  }
}

/// Read the target and all beyond it; nearest first, resolved against the outer ones
static QfStatus
read_targets(NumeralReader* const reader, const QfMode mode, QfTarget* targets, uint8_t* n_targets)
{
  NumeralHead heads[MAX_DEPTH];
  uint8_t     n_heads = 0;
  while (take(reader, "/")) {
    const size_t start = reader->at;
    if (n_heads == MAX_DEPTH) {
      return qf_numeral_fault(reader, start, "at most four targets after one another");
    }
    const QfStatus st = read_head(reader, &heads[n_heads]);
    if (st) {
      return st;
    }
    if (heads[n_heads].type == HEAD_CADENTIAL || heads[n_heads].type == HEAD_SIXTH) {
      return qf_numeral_fault(reader, start,
                              "a degree that can be tonicized, I to VII, i to vii or N");
    }
    ++n_heads;
  }

  QfMode outer = mode;
  *n_targets   = n_heads;
  for (int i = n_heads - 1; i >= 0; --i) {
    const bool is_n = heads[i].type == HEAD_NEAPOLITAN;
    const int  alter =
      is_n ? -1 : qf_numeral_alter_meant(heads[i].degree, heads[i].is_lower, heads[i].signs, outer);
    targets[i] = (QfTarget){(int8_t)heads[i].degree, (int8_t)alter, heads[i].is_lower, is_n};

    // Whatever is applied to the key's own tonic belongs to the key
    const QfMode inner = heads[i].is_lower ? QF_MINOR : QF_MAJOR;
    if (heads[i].degree == 1 && !alter && inner == outer) {
      memmove(&targets[i], &targets[i + 1], (size_t)(*n_targets - 1 - i) * sizeof(targets[0]));
      --*n_targets;
    }
    outer = inner;
  }
  return QF_OK;
}

QfStatus
qf_numeral_parse(const char* const text,
                 const QfMode      mode,
                 QfNumeral* const  result,
                 QfError* const    error)
{
  NumeralReader reader  = {text, 0, error};
  NumeralHead   head    = {0};
  NumeralBody   body    = {0};
  QfNumeral     numeral = {0};

  QfStatus st = read_head(&reader, &head);
  st          = st ? st : read_body(&reader, &body);
  st          = st ? st : read_targets(&reader, mode, numeral.targets, &numeral.n_targets);
  if (!st && text[reader.at]) {
    st =
      qf_numeral_fault(&reader, reader.at, "figures, a quality sign, [add..], [no..] or /target");
  }
  if (st) {
    return st;
  }

  st = qf_numeral_build(&reader, &head, &body, qf_numeral_local_mode(&numeral, mode), &numeral);
  if (!st) {
    *result = numeral;
  }
  return st;
}
