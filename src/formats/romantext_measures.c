// SPDX-License-Identifier: MIT
// Lines of measures: what one says, copies of earlier ones, other readings.
// Source: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019, and the syntax
// notes of the When in Rome corpus.
#include "romantext_reader.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

enum {
  MAX_MEASURE = 100000,
  MAX_COPY    = 1000,  ///< Measures in one copy
  MAX_LINES   = 20000, ///< Lines of measures, copies included
};

static QfStatus
keep_measure(RomanReader* const reader, const RomanMeasure measure)
{
  if (reader->n_measures == MAX_LINES) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "there are more than %d measures and copies",
                 MAX_LINES);
    return roman_place(reader, measure.number, NULL);
  }
  void* measures = reader->measures;
  if (!roman_reserve(&measures, reader->n_measures, &reader->measures_capacity, sizeof(measure))) {
    return roman_no_memory(reader->error);
  }
  reader->measures                       = (RomanMeasure*)measures;
  reader->measures[reader->n_measures++] = measure;
  return QF_OK;
}

/// Number at the start of a span, which moves past it; -1 if there is none
static int
take_number(RomanSpan* const span)
{
  int number = -1;
  for (; span->start < span->end && isdigit((unsigned char)*span->start); ++span->start) {
    number = (number < 0 ? 0 : number) * 10 + (*span->start - '0');
    number = number > MAX_MEASURE ? MAX_MEASURE : number;
  }
  return number;
}

void
roman_skip_space(RomanSpan* const span)
{
  while (span->start < span->end && isspace((unsigned char)*span->start)) {
    ++span->start;
  }
}

/// A copy of a span without the space around it (transfer full); NULL if out of memory
static char*
trimmed(RomanSpan span)
{
  roman_skip_space(&span);
  while (span.end > span.start && isspace((unsigned char)span.end[-1])) {
    --span.end;
  }
  return strndup(span.start, (size_t)(span.end - span.start));
}

static bool
takes(RomanSpan* const span, const char c)
{
  const bool is_next = span->start < span->end && *span->start == c;
  span->start += is_next;
  return is_next;
}

/// The letter of an ending, "12a", or 0
static char
take_suffix(RomanSpan* const span)
{
  const bool is_letter = span->start < span->end && islower((unsigned char)*span->start) &&
                         (span->start + 1 == span->end || !isalpha((unsigned char)span->start[1]));
  return is_letter ? *span->start++ : '\0';
}

/// Read "m3", "m3-4", "m12a" from after its `m`; false if malformed
static bool
take_range(RomanSpan* const span, int* const first, int* const last, char* const suffix)
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

QfStatus
roman_keep_line(RomanReader* const     reader,
                QfRomanLine            line,
                const RomanSpan* const tag,
                const RomanSpan* const text)
{
  QfRomanText* const roman = reader->roman;
  void*              lines = roman->lines;
  if (!roman_reserve(&lines, roman->n_lines, &reader->lines_capacity, sizeof(line))) {
    return roman_no_memory(reader->error);
  }
  roman->lines                   = (QfRomanLine*)lines;
  line.first_item                = roman->n_items;
  line.tag                       = tag ? trimmed(*tag) : NULL;
  line.text                      = text ? trimmed(*text) : NULL;
  roman->lines[roman->n_lines++] = line;
  return (tag && !line.tag) || (text && !line.text) ? roman_no_memory(reader->error) : QF_OK;
}

static RomanMeasure
measure_here(const RomanReader* const reader,
             const int                number,
             const char               suffix,
             const RomanSpan          content)
{
  return (RomanMeasure){number, suffix, content, reader->has_key, reader->key};
}

/// Say again what earlier measures said; the key in force carries on unless they change it
static QfStatus
copy_measures(RomanReader* const reader,
              const int          first,
              const int          last,
              const char         suffix,
              RomanSpan          source)
{
  int  from        = 0;
  int  to          = 0;
  char from_suffix = '\0';
  roman_skip_space(&source);
  if (!takes(&source, 'm') || !take_range(&source, &from, &to, &from_suffix) ||
      to - from != last - first) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the copy is malformed; expected as many measures on both sides, as in "
                 "m5-6 = m3-4");
    return roman_place(reader, first, NULL);
  }

  const QfRomanLine line = {.kind          = QF_ROMAN_COPY,
                            .measure       = first,
                            .last          = last,
                            .suffix        = suffix,
                            .source        = from,
                            .source_suffix = from_suffix};
  QfStatus          st   = roman_keep_line(reader, line, NULL, NULL);
  for (int i = 0; i <= last - first && !st; ++i) {
    const size_t n_known = reader->n_measures;
    for (size_t j = 0; j < n_known && !st; ++j) {
      if (reader->measures[j].number == from + i && reader->measures[j].suffix == from_suffix) {
        const RomanSpan    content = reader->measures[j].content;
        const RomanMeasure copy    = measure_here(reader, first + i, suffix, content);
        st                         = keep_measure(reader, copy);
        st = st ? st : roman_read_words(reader, copy, (RomanSink){.adds_chords = true});
      }
    }
  }
  return st;
}

/// Another reading of a measure, from the key in which that begins; it changes nothing after it
static QfStatus
parse_variant(RomanReader* const reader,
              const RomanMeasure measure,
              const int          last,
              RomanSpan          content)
{
  content.start += 3; // "var"
  const int number = take_number(&content);

  RomanMeasure variant = measure_here(reader, measure.number, measure.suffix, content);
  for (size_t i = 0; i < reader->n_measures; ++i) {
    const RomanMeasure* const other = &reader->measures[i];
    if (other->number == measure.number && other->suffix == measure.suffix) {
      variant.has_key = other->has_key;
      variant.key     = other->key;
    }
  }

  const QfRomanLine line = {.kind    = QF_ROMAN_VARIANT,
                            .measure = measure.number,
                            .last    = last,
                            .suffix  = measure.suffix,
                            .variant = number > 0 ? number : 0};
  QfStatus          st   = roman_keep_line(reader, line, NULL, NULL);
  if (st) {
    return st;
  }

  QfError           ignored = {0};
  const RomanReader before  = *reader;
  reader->has_key           = variant.has_key;
  reader->key               = variant.key;
  reader->has_chord         = false;
  reader->error             = &ignored;
  st                        = roman_read_words(reader, variant, (RomanSink){.keeps_items = true});
  reader->has_key           = before.has_key;
  reader->key               = before.key;
  reader->has_chord         = before.has_chord;
  reader->chord             = before.chord;
  reader->error             = before.error;
  if (st != QF_ERR_BAD_FILE) {
    return st ? roman_no_memory(reader->error) : QF_OK;
  }

  // Only a remark beside the analysis, so it is kept as it stands
  QfRomanLine* const kept = &reader->roman->lines[reader->roman->n_lines - 1U];
  reader->roman->n_items  = kept->first_item;
  kept->n_items           = 0U;
  kept->text              = trimmed(content);
  return kept->text ? QF_OK : roman_no_memory(reader->error);
}

QfStatus
roman_read_measure(RomanReader* const reader, RomanSpan span)
{
  int  first  = 0;
  int  last   = 0;
  char suffix = '\0';
  ++span.start;
  if (!take_range(&span, &first, &last, &suffix)) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the measure's number is malformed; expected m12 or m5-6");
    return roman_place(reader, -1, NULL);
  }
  if (span.end - span.start >= 3 && !strncmp(span.start, "var", 3U)) {
    return parse_variant(reader, measure_here(reader, first, suffix, span), last, span);
  }

  RomanSpan content = span;
  reader->number    = last;
  roman_skip_space(&content);
  if (takes(&content, '=')) {
    return copy_measures(reader, first, last, suffix, content);
  }
  if (first != last || (span.start < span.end && !isspace((unsigned char)*span.start))) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "\"m%d\" is followed by \"%.*s\"; expected a space and chords", first,
                 (int)(span.end - span.start > 20 ? 20 : span.end - span.start), span.start);
    return roman_place(reader, first, NULL);
  }

  const RomanMeasure measure = measure_here(reader, first, suffix, content);
  const QfRomanLine  line    = {
        .kind = QF_ROMAN_MEASURE, .measure = first, .last = last, .suffix = suffix};
  QfStatus st = keep_measure(reader, measure);
  st          = st ? st : roman_keep_line(reader, line, NULL, NULL);
  return st ? st
            : roman_read_words(reader, measure,
                               (RomanSink){.keeps_items = true, .adds_chords = true});
}
