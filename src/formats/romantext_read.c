// SPDX-License-Identifier: MIT
// Source: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019, and the syntax
// notes of the When in Rome corpus.
#include "import.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum {
  MAX_MEASURE = 100000,
  MAX_COPY    = 1000,  ///< Measures in one copy
  MAX_LINES   = 20000, ///< Lines of measures, copies included
  MAX_CHORDS  = 200000,
  TOKEN_SIZE  = 96,
};

/// A stretch of the file's text
typedef struct {
  const char* start;
  const char* end;
} Span;

/// What one measure says, kept so that later lines can copy it
typedef struct {
  int  number;
  char suffix;
  Span content;
} Measure;

typedef struct {
  QfRomanText* roman;
  QfError*     error;
  size_t       chords_capacity;
  Measure*     measures;
  size_t       n_measures;
  size_t       measures_capacity;
  bool         has_metre;
  bool         has_key;
  QfKey        key;
  int          line;
} Reader;

static QfStatus
no_memory(QfError* const error)
{
  return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading RomanText");
}

/// Give the fault already recorded its place; the message shows measure and beat
static QfStatus
place(const Reader* const reader, const int measure, const char* const beat)
{
  if (reader->error) {
    reader->error->status = QF_ERR_BAD_FILE;
  }
  qf_error_place(reader->error, reader->line, measure, beat);
  return QF_ERR_BAD_FILE;
}

//
// Beats
//

/**
   The fraction a few decimals stand for.

   `.33` and `.66` or `.67` are thirds, `.17` and `.83` sixths; what decimals
   say exactly is taken so.

   Rule: syntax notes of the When in Rome corpus.
*/
static QfTime
fraction_of(const int digits, const int n_digits)
{
  static const int denominators[] = {1, 2, 3, 4, 6, 8, 12, 5, 7, 16, 9, 24, 32};

  const double value = digits / pow(10.0, n_digits);
  const double near  = n_digits > 1 ? 1.0 / 149.0 : 1.0 / 1000.0;
  for (size_t i = 0; i < sizeof(denominators) / sizeof(denominators[0]); ++i) {
    const long num = lround(value * denominators[i]);
    if (fabs((double)num / denominators[i] - value) <= near) {
      return qf_time(num, denominators[i]);
    }
  }
  // One digit written loosely for a third.
  if (n_digits == 1 && (digits == 3 || digits == 6)) {
    return qf_time(digits == 3 ? 1 : 2, 3);
  }
  return qf_time(digits, (int64_t)lround(pow(10.0, n_digits)));
}

/// Read "b2", "b2.5", "b1.66", "b1.66.5" (two thirds and half a third)
static bool
parse_beat(const char* const token, QfTime* const result)
{
  enum { MAX_DIGITS = 6 };

  if (token[0] != 'b' || !isdigit((unsigned char)token[1])) {
    return false;
  }
  char*      end   = NULL;
  const long whole = strtol(token + 1, &end, 10);
  QfTime     beat  = qf_time(whole, 1);
  QfTime     unit  = qf_time(1, 1);
  while (*end == '.') {
    int digits   = 0;
    int n_digits = 0;
    for (++end; isdigit((unsigned char)*end); ++end) {
      if (n_digits < MAX_DIGITS) {
        digits = digits * 10 + (*end - '0');
        ++n_digits;
      }
    }
    if (n_digits) {
      beat = qf_time_add(beat, qf_time_mul(unit, fraction_of(digits, n_digits)));
    }
    unit = qf_time_mul(unit, qf_time(1, 3));
  }
  *result = beat;
  return !*end && whole >= 0 && whole <= MAX_MEASURE;
}

//
// Keys
//

/// Bytes of a key at the start of a token, its colon included, or 0
static size_t
key_length(const char* const token)
{
  size_t i = 0U;
  if (!strchr("ABCDEFGabcdefg", token[0]) || !token[0]) {
    return 0U;
  }
  for (i = 1U; token[i] == '#' || token[i] == 'b' || token[i] == '-'; ++i) {
  }
  return token[i] == ':' || token[i] == ';' ? i + 1U : 0U;
}

/**
   Read a key; one with more than seven signs is taken as its enharmonic twin.

   Analyses that modulate far write D flat minor or F flat major; numerals in
   C sharp minor and E major sound the same.
*/
static bool
parse_key(const char* const token, const size_t length, QfKey* const result)
{
  char   name[16];
  size_t filled = 0U;
  for (size_t i = 0; i + 1U < length && filled + 1U < sizeof(name); ++i) {
    name[filled++] = token[i] == '-' ? 'b' : token[i];
  }
  name[filled] = '\0';

  QfNoteName tonic;
  if (qf_note_name_parse(name, &tonic, NULL, NULL)) {
    return false;
  }
  const QfMode mode   = islower((unsigned char)name[0]) ? QF_MINOR : QF_MAJOR;
  int          fifths = qf_note_name_fifths(tonic) - (mode == QF_MINOR ? 3 : 0);
  while (fifths > 7) {
    fifths -= 12;
  }
  while (fifths < -7) {
    fifths += 12;
  }
  return !qf_key_from_fifths(fifths, mode, result);
}

//
// Chords
//

static QfStatus
add_chord(Reader* const     reader,
          const Measure     measure,
          const QfTime      beat,
          const char* const beat_text,
          const char* const token)
{
  QfRomanText* const roman = reader->roman;
  QfRomanChord       chord = {.measure = measure.number, .suffix = measure.suffix, .beat = beat};
  if (!reader->has_key) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the chord \"%s\" comes before any key; expected one such as C: or a:", token);
    return place(reader, measure.number, beat_text);
  }
  if (qf_numeral_parse(token, reader->key.mode, &chord.numeral, reader->error)) {
    return place(reader, measure.number, beat_text);
  }
  if (roman->n_chords == MAX_CHORDS) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "there are more than %d chords", MAX_CHORDS);
    return place(reader, measure.number, beat_text);
  }
  if (roman->n_chords == reader->chords_capacity) {
    const size_t        wanted = reader->chords_capacity ? 2U * reader->chords_capacity : 64U;
    QfRomanChord* const more =
      (QfRomanChord*)realloc(roman->chords, wanted * sizeof(*roman->chords));
    if (!more) {
      return no_memory(reader->error);
    }
    roman->chords           = more;
    reader->chords_capacity = wanted;
  }

  chord.key = reader->key;
  if (roman->n_chords) {
    const QfRomanChord* const before = &roman->chords[roman->n_chords - 1U];
    chord.is_pivot = before->measure == chord.measure && before->suffix == chord.suffix &&
                     !qf_time_compare(before->beat, chord.beat) &&
                     !qf_key_equals(before->key, chord.key);
  }
  roman->chords[roman->n_chords++] = chord;
  return QF_OK;
}

/// True for signs of phrase, repeat and rest
static bool
is_no_chord(const char* const token)
{
  static const char* const signs[] = {"", "r", "rest", "Rest", ",", ".", "NC"};

  for (size_t i = 0; i < sizeof(signs) / sizeof(signs[0]); ++i) {
    if (!strcmp(token, signs[i])) {
      return true;
    }
  }
  return strspn(token, "|:()") == strlen(token);
}

/// Take the next word of a span without the round brackets some analysts put around a chord
static bool
next_token(Span* const span, char token[TOKEN_SIZE])
{
  while (span->start < span->end && isspace((unsigned char)*span->start)) {
    ++span->start;
  }
  if (span->start == span->end) {
    return false;
  }
  size_t length = 0U;
  for (; span->start < span->end && !isspace((unsigned char)*span->start); ++span->start) {
    const bool is_bracket = *span->start == '(' || *span->start == ')';
    if (!is_bracket && length + 1U < TOKEN_SIZE) {
      token[length++] = *span->start;
    }
  }
  token[length] = '\0';
  return true;
}

static QfStatus
parse_measure(Reader* const reader, const Measure measure)
{
  Span     span                  = measure.content;
  QfTime   beat                  = qf_time(1, 1);
  char     beat_text[TOKEN_SIZE] = "1";
  char     token[TOKEN_SIZE];
  QfStatus st = QF_OK;
  while (!st && next_token(&span, token)) {
    if (parse_beat(token, &beat)) {
      snprintf(beat_text, sizeof(beat_text), "%s", token + 1);
      continue;
    }

    const size_t n_key = key_length(token);
    if (n_key) {
      if (!parse_key(token, n_key, &reader->key)) {
        qf_error_set(reader->error, QF_ERR_BAD_FILE,
                     "\"%s\" is no key; expected one such as C: or f#:", token);
        return place(reader, measure.number, beat_text);
      }
      reader->has_key = true;
    }
    if (!is_no_chord(token + n_key)) {
      st = add_chord(reader, measure, beat, beat_text, token + n_key);
    }
  }
  return st;
}

//
// Lines
//

static QfStatus
keep_measure(Reader* const reader, const Measure measure)
{
  if (reader->n_measures == MAX_LINES) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "there are more than %d measures and copies",
                 MAX_LINES);
    return place(reader, measure.number, NULL);
  }
  if (reader->n_measures == reader->measures_capacity) {
    const size_t   wanted = reader->measures_capacity ? 2U * reader->measures_capacity : 64U;
    Measure* const more   = (Measure*)realloc(reader->measures, wanted * sizeof(*more));
    if (!more) {
      return no_memory(reader->error);
    }
    reader->measures          = more;
    reader->measures_capacity = wanted;
  }
  reader->measures[reader->n_measures++] = measure;
  return QF_OK;
}

/// Number at the start of a span, which moves past it; -1 if there is none
static int
take_number(Span* const span)
{
  int number = -1;
  for (; span->start < span->end && isdigit((unsigned char)*span->start); ++span->start) {
    number = (number < 0 ? 0 : number) * 10 + (*span->start - '0');
    number = number > MAX_MEASURE ? MAX_MEASURE : number;
  }
  return number;
}

static void
skip_space(Span* const span)
{
  while (span->start < span->end && isspace((unsigned char)*span->start)) {
    ++span->start;
  }
}

static bool
takes(Span* const span, const char c)
{
  const bool is_next = span->start < span->end && *span->start == c;
  span->start += is_next;
  return is_next;
}

/// The letter of an ending, "12a", or 0
static char
take_suffix(Span* const span)
{
  const bool is_letter = span->start < span->end && islower((unsigned char)*span->start) &&
                         (span->start + 1 == span->end || !isalpha((unsigned char)span->start[1]));
  return is_letter ? *span->start++ : '\0';
}

/// Read "m3", "m3-4", "m12a" from after its `m`; false if malformed
static bool
take_range(Span* const span, int* const first, int* const last, char* const suffix)
{
  *first  = take_number(span);
  *suffix = take_suffix(span);
  *last   = *first;
  if (takes(span, '-')) {
    takes(span, 'm');
    *last = take_number(span);
    take_suffix(span);
  }
  return *first >= 0 && *last >= *first && *last - *first < MAX_COPY;
}

/// Say again what earlier measures said; the key in force carries on unless they change it
static QfStatus
copy_measures(Reader* const reader, const int first, const int last, Span source)
{
  int  from   = 0;
  int  to     = 0;
  char suffix = '\0';
  skip_space(&source);
  if (!takes(&source, 'm') || !take_range(&source, &from, &to, &suffix) ||
      to - from != last - first) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the copy is malformed; expected as many measures on both sides, as in "
                 "m5-6 = m3-4");
    return place(reader, first, NULL);
  }

  QfStatus st = QF_OK;
  for (int i = 0; i <= last - first && !st; ++i) {
    const size_t n_known = reader->n_measures;
    for (size_t j = 0; j < n_known && !st; ++j) {
      if (reader->measures[j].number == from + i && reader->measures[j].suffix == suffix) {
        const Measure copy = {first + i, '\0', reader->measures[j].content};
        st                 = keep_measure(reader, copy);
        st                 = st ? st : parse_measure(reader, copy);
      }
    }
  }
  return st;
}

/// A line that begins with `m` and a number; variants are passed over
static QfStatus
parse_measure_line(Reader* const reader, Span span)
{
  int  first  = 0;
  int  last   = 0;
  char suffix = '\0';
  ++span.start;
  if (!take_range(&span, &first, &last, &suffix)) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the measure's number is malformed; expected m12 or m5-6");
    return place(reader, -1, NULL);
  }
  if (span.end - span.start >= 3 && !strncmp(span.start, "var", 3U)) {
    return QF_OK;
  }

  Span content = span;
  skip_space(&content);
  if (takes(&content, '=')) {
    return copy_measures(reader, first, last, content);
  }
  if (first != last || (span.start < span.end && !isspace((unsigned char)*span.start))) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "\"m%d\" is followed by \"%.*s\"; expected a space and chords", first,
                 (int)(span.end - span.start > 20 ? 20 : span.end - span.start), span.start);
    return place(reader, first, NULL);
  }

  const Measure  measure = {first, suffix, content};
  const QfStatus st      = keep_measure(reader, measure);
  return st ? st : parse_measure(reader, measure);
}

/// Read "4/4", with the doubt or the hint at the beat some analysts add
static QfStatus
parse_metre(Reader* const reader, const Span content)
{
  char text[48];
  qf_copy_text(content.start, (size_t)(content.end - content.start), text, sizeof(text));

  int numerator   = 0;
  int denominator = 0;
  if (!strcasecmp(text, "C") || !strcasecmp(text, "common")) {
    numerator   = 4;
    denominator = 4;
  } else if (!strcasecmp(text, "C|") || !strcasecmp(text, "cut")) {
    numerator   = 2;
    denominator = 2;
  } else {
    const char* const digits = text + strcspn(text, "0123456789");
    sscanf(digits, "%3d / %3d", &numerator, &denominator);
  }

  QfMetre metre;
  if (qf_metre(numerator, denominator, &metre)) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the time signature is \"%s\"; expected one such as 4/4", text);
    return place(reader, -1, NULL);
  }
  if (!reader->has_metre) {
    reader->roman->metre = metre;
    reader->has_metre    = true;
  }
  return QF_OK;
}

static bool
header_is(const Span name, const char* const wanted)
{
  const size_t length = strlen(wanted);
  return (size_t)(name.end - name.start) == length && !strncasecmp(name.start, wanted, length);
}

/// Lines such as "Title: ..."; those that say nothing about chords are passed over
static QfStatus
parse_header_line(Reader* const reader, const Span span)
{
  const char* const colon = (const char*)memchr(span.start, ':', (size_t)(span.end - span.start));
  if (!colon) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the line is neither a measure nor a header; expected one such as \"m1 C: I\" or "
                 "\"Title: ...\"");
    return place(reader, -1, NULL);
  }

  QfRomanText* const roman   = reader->roman;
  const Span         name    = {span.start, colon};
  const Span         content = {colon + 1, span.end};
  const size_t       length  = (size_t)(content.end - content.start);
  if (header_is(name, "Title") && !roman->title[0]) {
    qf_copy_text(content.start, length, roman->title, sizeof(roman->title));
  } else if (header_is(name, "Composer") && !roman->composer[0]) {
    qf_copy_text(content.start, length, roman->composer, sizeof(roman->composer));
  } else if (header_is(name, "Time Signature")) {
    return parse_metre(reader, content);
  }
  return QF_OK;
}

static QfStatus
parse_line(Reader* const reader, Span span)
{
  skip_space(&span);
  if (span.start == span.end) {
    return QF_OK;
  }
  const bool is_measure =
    *span.start == 'm' && span.start + 1 < span.end && isdigit((unsigned char)span.start[1]);
  return is_measure ? parse_measure_line(reader, span) : parse_header_line(reader, span);
}

QfStatus
qf_romantext_read(const char* const  text,
                  const size_t       length,
                  QfRomanText* const result,
                  QfError* const     error)
{
  static const char byte_order_mark[] = "\xEF\xBB\xBF";

  QfRomanText roman  = {0};
  Reader      reader = {.roman = &roman, .error = error};
  qf_metre(4, 4, &roman.metre);

  const char* const end  = text + length;
  const char*       line = text;
  if (length >= 3U && !memcmp(text, byte_order_mark, 3U)) {
    line += 3;
  }
  QfStatus st = QF_OK;
  while (!st && line < end) {
    const char* const newline  = (const char*)memchr(line, '\n', (size_t)(end - line));
    const char* const line_end = newline ? newline : end;
    ++reader.line;
    st   = parse_line(&reader, (Span){line, line_end});
    line = newline ? newline + 1 : end;
  }
  if (!st && !roman.n_chords) {
    st = qf_error_set(error, QF_ERR_BAD_FILE,
                      "there are no chords; expected lines such as \"m1 C: I b3 V\"");
  }

  free(reader.measures);
  if (st) {
    qf_romantext_clear(&roman);
  } else {
    *result = roman;
  }
  return st;
}

void
qf_romantext_clear(QfRomanText* const roman)
{
  free(roman->chords);
  *roman = (QfRomanText){0};
}
