// SPDX-License-Identifier: MIT
#include "quintfall/plan.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum {
  HIGHEST_DEGREE = 15,
  LOWEST_OCTAVE  = -4,
  MAX_ALTER      = 2,
  MAX_BEATS      = 64,
  MAX_PARTS      = 64, ///< Of a beat
  MAX_LENGTH     = 512,
};

// Common tones kept, leading tone and seventh resolved; V7 is incomplete with doubled root in the
// cadence. The scale is melodic in minor. Common practice. Indexed by QfMode.
static const char* const prelude_texts[QF_PRELUDE_N_KINDS][2] = {
  [QF_PRELUDE_CADENCE] = {"-1+3+5+8 -4+4+6+8 -5+4+5+7 -1+3+5+8:2 r",
                          "-1+3+5+8 -4+4+6+8 -5+4+5+#7 -1+3+5+8:2 r"},
  [QF_PRELUDE_ARPEGGIOS] =
    {
      "1:1/2 3:1/2 5:1/2 8:1/2 | 4:1/2 6:1/2 8:1/2 6:1/2 | "
      "5:1/2 7:1/2 9:1/2 7:1/2 | 8:1/2 5:1/2 3:1/2 1:3/2 r",
      "1:1/2 3:1/2 5:1/2 8:1/2 | 4:1/2 6:1/2 8:1/2 6:1/2 | "
      "5:1/2 #7:1/2 9:1/2 #7:1/2 | 8:1/2 5:1/2 3:1/2 1:3/2 r",
    },
  [QF_PRELUDE_ARPEGGIOS_DOM7] =
    {
      "1:1/2 3:1/2 5:1/2 8:1/2 | 4:1/2 6:1/2 8:1/2 6:1/2 | "
      "5:1/2 7:1/2 9:1/2 11:1/2 | 10:1/2 8:1/2 5:1/2 1:3/2 r",
      "1:1/2 3:1/2 5:1/2 8:1/2 | 4:1/2 6:1/2 8:1/2 6:1/2 | "
      "5:1/2 #7:1/2 9:1/2 11:1/2 | 10:1/2 8:1/2 5:1/2 1:3/2 r",
    },
  [QF_PRELUDE_SCALE] =
    {
      "1:1/2 2:1/2 3:1/2 4:1/2 5:1/2 6:1/2 7:1/2 8:1/2 | "
      "7:1/2 6:1/2 5:1/2 4:1/2 3:1/2 2:1/2 1:2 r",
      "1:1/2 2:1/2 3:1/2 4:1/2 5:1/2 #6:1/2 #7:1/2 8:1/2 | "
      "7:1/2 6:1/2 5:1/2 4:1/2 3:1/2 2:1/2 1:2 r",
    },
  [QF_PRELUDE_DRONE] = {"-1+-5:8 r", "-1+-5:8 r"},
};

const char*
qf_prelude_pattern(const QfPreludeKind kind, const QfMode mode, const char* const own)
{
  const char* const text = kind < QF_PRELUDE_N_KINDS ? prelude_texts[kind][mode] : NULL;
  return text ? text : own;
}

/// A text being read
typedef struct {
  const char* text;
  const char* at;
  QfPattern*  pattern;
  size_t      first; ///< First tone of the word that sounds, to be held on
  bool        may_hold;
  QfError*    error;
} Reader;

static QfStatus
fail_at(const Reader* const reader,
        const char* const   word,
        const QfStatus      status,
        const char* const   reason)
{
  const int length = (int)strcspn(word, " \t\r\n");
  qf_error_set(reader->error, status, "\"%.*s\" is no scale degree or rest: %s",
               length < 40 ? length : 40, word, reason);
  if (reader->error) {
    reader->error->offset = (size_t)(word - reader->text);
  }
  return status;
}

/// Read up to three digits; -1 where there are none
static int
read_number(Reader* const reader)
{
  int number   = -1;
  int n_digits = 0;
  for (; isdigit((unsigned char)*reader->at) && n_digits < 3; ++n_digits) {
    number = 10 * (number < 0 ? 0 : number) + (*reader->at++ - '0');
  }
  return number;
}

static QfStatus
read_degree(Reader* const reader, const char* const word, QfPatternTone* const tone)
{
  int octave = 0;
  for (; *reader->at == '-' && octave > LOWEST_OCTAVE; ++reader->at) {
    --octave;
  }

  int        alter = 0;
  const char sign  = *reader->at;
  for (; (sign == '#' || sign == 'b') && *reader->at == sign; ++reader->at) {
    alter += sign == '#' ? 1 : -1;
  }
  if (abs(alter) > MAX_ALTER) {
    return fail_at(reader, word, QF_ERR_RANGE, "at most two sharps or flats can stand there");
  }

  const int number = read_number(reader);
  if (number < 0) {
    return fail_at(reader, word, QF_ERR_BAD_TEXT, "write degrees such as 5, -7, #4 or 1+3+5");
  }
  if (number < 1 || number > HIGHEST_DEGREE) {
    return fail_at(reader, word, QF_ERR_RANGE, "degrees go from 1 to 15");
  }
  tone->degree = (int8_t)((number - 1) % 7 + 1);
  tone->octave = (int8_t)(octave + (number - 1) / 7);
  tone->alter  = (int8_t)alter;
  return QF_OK;
}

/// Read ":2" or ":1/2"; one beat where nothing stands
static QfStatus
read_beats(Reader* const reader, const char* const word, QfTime* const beats)
{
  *beats = qf_time(1, 1);
  if (*reader->at != ':') {
    return QF_OK;
  }

  ++reader->at;
  const int number = read_number(reader);
  int       parts  = 1;
  if (*reader->at == '/') {
    ++reader->at;
    parts = read_number(reader);
  }
  if (number < 1 || parts < 1 || number > MAX_BEATS || parts > MAX_PARTS) {
    return fail_at(reader, word, QF_ERR_RANGE, "write a length such as :2 or :1/2 beats");
  }
  *beats = qf_time(number, parts);
  return QF_OK;
}

static bool
is_at_end_of_word(const Reader* const reader)
{
  return !*reader->at || isspace((unsigned char)*reader->at);
}

static QfStatus
read_tones(Reader* const reader, const char* const word)
{
  QfPattern* const pattern = reader->pattern;
  const size_t     first   = pattern->n_tones;
  do {
    reader->at += pattern->n_tones > first;
    if (pattern->n_tones == QF_PATTERN_MAX_TONES) {
      return fail_at(reader, word, QF_ERR_RANGE, "the pattern has too many notes");
    }
    QfPatternTone  tone = {.start = pattern->length};
    const QfStatus st   = read_degree(reader, word, &tone);
    if (st) {
      return st;
    }
    pattern->tones[pattern->n_tones++] = tone;
  } while (*reader->at == '+');

  QfTime         beats = QF_TIME_ZERO;
  const QfStatus st    = read_beats(reader, word, &beats);
  for (size_t i = first; i < pattern->n_tones; ++i) {
    pattern->tones[i].duration = beats;
  }
  pattern->length  = qf_time_add(pattern->length, beats);
  reader->first    = first;
  reader->may_hold = true;
  return st;
}

static QfStatus
read_rest(Reader* const reader, const char* const word)
{
  QfTime beats = QF_TIME_ZERO;
  ++reader->at;
  const QfStatus st       = read_beats(reader, word, &beats);
  reader->pattern->length = qf_time_add(reader->pattern->length, beats);
  reader->may_hold        = false;
  return st;
}

static void
read_hold(Reader* const reader)
{
  QfPattern* const pattern = reader->pattern;
  const QfTime     beat    = qf_time(1, 1);
  for (size_t i = reader->first; reader->may_hold && i < pattern->n_tones; ++i) {
    pattern->tones[i].duration = qf_time_add(pattern->tones[i].duration, beat);
  }
  pattern->length = qf_time_add(pattern->length, beat);
  ++reader->at;
}

static QfStatus
read_word(Reader* const reader)
{
  const char* const word = reader->at;
  QfStatus          st   = QF_OK;
  if (*word == '|') {
    ++reader->at;
  } else if (*word == '_') {
    read_hold(reader);
  } else {
    st = *word == 'r' ? read_rest(reader, word) : read_tones(reader, word);
  }
  if (!st && !is_at_end_of_word(reader)) {
    st = fail_at(reader, word, QF_ERR_BAD_TEXT, "set blanks between the words");
  }
  if (!st && qf_time_compare(reader->pattern->length, qf_time(MAX_LENGTH, 1)) > 0) {
    st = fail_at(reader, word, QF_ERR_RANGE, "the pattern is longer than 512 beats");
  }
  return st;
}

QfStatus
qf_pattern_parse(const char* const text, QfPattern* const result, QfError* const error)
{
  *result         = (QfPattern){.length = QF_TIME_ZERO};
  Reader   reader = {.text = text, .at = text, .pattern = result, .error = error};
  QfStatus st     = QF_OK;
  while (!st && *(reader.at += strspn(reader.at, " \t\r\n"))) {
    st = read_word(&reader);
  }
  if (!st && !result->n_tones) {
    st = qf_error_set(error, QF_ERR_BAD_TEXT,
                      "the pattern has no notes; write scale degrees such as 1 3 5 8");
  }
  return st;
}
