// SPDX-License-Identifier: MIT
// Source: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019, and the syntax
// notes of the When in Rome corpus.
#include "import.h"
#include "romantext_reader.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

QfStatus
roman_no_memory(QfError* const error)
{
  return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while reading RomanText");
}

QfStatus
roman_place(const RomanReader* const reader, const int measure, const char* const beat)
{
  if (reader->error) {
    reader->error->status = QF_ERR_BAD_FILE;
  }
  qf_error_place(reader->error, reader->line, measure, beat);
  return QF_ERR_BAD_FILE;
}

bool
roman_reserve(void** const data, const size_t n_items, size_t* const capacity, const size_t size)
{
  if (n_items < *capacity) {
    return true;
  }
  const size_t wanted = *capacity ? 2U * *capacity : 64U;
  void* const  more   = realloc(*data, wanted * size);
  if (more) {
    *data     = more;
    *capacity = wanted;
  }
  return more;
}

/// Read "4/4", with the doubt or the hint at the beat some analysts add
static QfStatus
parse_metre(RomanReader* const reader, const RomanSpan content, QfMetre* const result)
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
    return roman_place(reader, -1, NULL);
  }
  if (!reader->has_metre) {
    reader->roman->metre = metre;
    reader->has_metre    = true;
  }
  *result = metre;
  return QF_OK;
}

static bool
header_is(const RomanSpan name, const char* const wanted)
{
  const size_t length = strlen(wanted);
  return (size_t)(name.end - name.start) == length && !strncasecmp(name.start, wanted, length);
}

/// What a tag makes of its line
static QfRomanLineKind
kind_of_tag(const RomanSpan tag)
{
  return header_is(tag, "Time Signature") ? QF_ROMAN_METRE
         : header_is(tag, "Note")         ? QF_ROMAN_NOTE
         : header_is(tag, "Form")         ? QF_ROMAN_FORM
         : header_is(tag, "Pedal")        ? QF_ROMAN_PEDAL
                                          : QF_ROMAN_FIELD;
}

/// Lines such as "Title: ..."
static QfStatus
parse_header_line(RomanReader* const reader, const RomanSpan span)
{
  const char* const colon = (const char*)memchr(span.start, ':', (size_t)(span.end - span.start));
  if (!colon) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the line is neither a measure nor a header; expected one such as \"m1 C: I\" or "
                 "\"Title: ...\"");
    return roman_place(reader, -1, NULL);
  }

  QfRomanText* const roman   = reader->roman;
  const RomanSpan    name    = {span.start, colon};
  const RomanSpan    content = {colon + 1, span.end};
  const size_t       length  = (size_t)(content.end - content.start);
  if (header_is(name, "Title") && !roman->title[0]) {
    qf_copy_text(content.start, length, roman->title, sizeof(roman->title));
  } else if (header_is(name, "Composer") && !roman->composer[0]) {
    qf_copy_text(content.start, length, roman->composer, sizeof(roman->composer));
  }

  QfRomanLine line = {.kind = kind_of_tag(name), .measure = reader->number, .last = reader->number};
  const QfStatus st =
    line.kind == QF_ROMAN_METRE ? parse_metre(reader, content, &line.metre) : QF_OK;
  return st ? st : roman_keep_line(reader, line, &name, &content);
}

static QfStatus
parse_line(RomanReader* const reader, RomanSpan span)
{
  span.end = span.start + strnlen(span.start, (size_t)(span.end - span.start));
  roman_skip_space(&span);
  if (span.start == span.end) {
    return QF_OK;
  }
  const bool is_measure =
    *span.start == 'm' && span.start + 1 < span.end && isdigit((unsigned char)span.start[1]);
  return is_measure ? roman_read_measure(reader, span) : parse_header_line(reader, span);
}

QfStatus
qf_romantext_read(const char* const  text,
                  const size_t       length,
                  QfRomanText* const result,
                  QfError* const     error)
{
  static const char byte_order_mark[] = "\xEF\xBB\xBF";

  QfRomanText roman  = {0};
  RomanReader reader = {.roman = &roman, .error = error, .number = -1};
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
    st   = parse_line(&reader, (RomanSpan){line, line_end});
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
