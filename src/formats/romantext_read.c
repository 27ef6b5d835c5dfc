// SPDX-License-Identifier: MIT
// Source: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019, and the syntax
// notes of the When in Rome corpus.
#include "import.h"
#include "romantext.h"

#include <ctype.h>
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
  int   number;
  char  suffix;
  Span  content;
  bool  has_key; ///< Where it begins
  QfKey key;
} Measure;

/// Where the words of a measure go
typedef struct {
  bool keeps_items;
  bool adds_chords;
} Sink;

typedef struct {
  QfRomanText* roman;
  QfError*     error;
  size_t       chords_capacity;
  size_t       lines_capacity;
  size_t       items_capacity;
  Measure*     measures;
  size_t       n_measures;
  size_t       measures_capacity;
  bool         has_metre;
  bool         has_key;
  QfKey        key;
  bool         has_chord;
  QfRomanChord chord;  ///< The last one
  int          number; ///< Of the measure last seen, or -1
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

/// Room for one more in a growing array
static bool
reserve(void** const data, const size_t n_items, size_t* const capacity, const size_t size)
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

static QfStatus
keep_chord(Reader* const reader, const QfRomanChord chord, const char* const beat_text)
{
  QfRomanText* const roman = reader->roman;
  if (roman->n_chords == MAX_CHORDS) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "there are more than %d chords", MAX_CHORDS);
    return place(reader, chord.measure, beat_text);
  }
  void* chords = roman->chords;
  if (!reserve(&chords, roman->n_chords, &reader->chords_capacity, sizeof(chord))) {
    return no_memory(reader->error);
  }
  roman->chords                    = (QfRomanChord*)chords;
  roman->chords[roman->n_chords++] = chord;
  return QF_OK;
}

/// Add a word to the line being read
static QfStatus
keep_item(Reader* const reader, const QfRomanItem item)
{
  QfRomanText* const roman = reader->roman;
  void*              items = roman->items;
  if (!reserve(&items, roman->n_items, &reader->items_capacity, sizeof(item))) {
    return no_memory(reader->error);
  }
  roman->items                   = (QfRomanItem*)items;
  roman->items[roman->n_items++] = item;
  roman->lines[roman->n_lines - 1U].n_items++;
  return QF_OK;
}

static QfStatus
add_chord(Reader* const     reader,
          const Measure     measure,
          const QfTime      beat,
          const char* const beat_text,
          const char* const token,
          const Sink        sink)
{
  QfRomanChord chord = {.measure = measure.number, .suffix = measure.suffix, .beat = beat};
  if (!reader->has_key) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the chord \"%s\" comes before any key; expected one such as C: or a:", token);
    return place(reader, measure.number, beat_text);
  }
  if (qf_numeral_parse(token, reader->key.mode, &chord.numeral, reader->error)) {
    return place(reader, measure.number, beat_text);
  }

  const QfRomanChord* const before = &reader->chord;
  chord.key                        = reader->key;
  chord.is_pivot                   = reader->has_chord && before->measure == chord.measure &&
                   before->suffix == chord.suffix && !qf_time_compare(before->beat, chord.beat) &&
                   !qf_key_equals(before->key, chord.key);
  reader->chord     = chord;
  reader->has_chord = true;

  QfStatus st = QF_OK;
  if (sink.keeps_items) {
    st = keep_item(reader, (QfRomanItem){.kind     = QF_ROMAN_CHORD,
                                         .beat     = beat,
                                         .key      = chord.key,
                                         .numeral  = chord.numeral,
                                         .is_pivot = chord.is_pivot});
  }
  return st || !sink.adds_chords ? st : keep_chord(reader, chord, beat_text);
}

/// Words that are no chords, and what is kept of them
static const struct {
  const char*     word;
  bool            is_kept;
  QfRomanItemKind kind;
} no_chords[] = {
  {"", false, QF_ROMAN_REST},          {",", false, QF_ROMAN_REST},
  {".", false, QF_ROMAN_REST},         {"|", false, QF_ROMAN_REST},
  {"r", true, QF_ROMAN_REST},          {"rest", true, QF_ROMAN_REST},
  {"Rest", true, QF_ROMAN_REST},       {"NC", true, QF_ROMAN_REST},
  {"||", true, QF_ROMAN_PHRASE_END},   {":||", true, QF_ROMAN_REPEAT_END},
  {":|", true, QF_ROMAN_REPEAT_END},   {"||:", true, QF_ROMAN_REPEAT_START},
  {"|:", true, QF_ROMAN_REPEAT_START}, {":||:", true, QF_ROMAN_REPEAT_BOTH},
  {":|:", true, QF_ROMAN_REPEAT_BOTH},
};

/// Take a word that is no chord; false if it is one
static bool
take_sign(Reader* const     reader,
          const QfTime      beat,
          const char* const word,
          const Sink        sink,
          QfStatus* const   st)
{
  for (size_t i = 0; i < sizeof(no_chords) / sizeof(no_chords[0]); ++i) {
    if (!strcmp(word, no_chords[i].word)) {
      if (no_chords[i].is_kept && sink.keeps_items) {
        *st = keep_item(reader,
                        (QfRomanItem){.kind = no_chords[i].kind, .beat = beat, .key = reader->key});
      }
      return true;
    }
  }
  return strspn(word, "|:") == strlen(word);
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
parse_measure(Reader* const reader, const Measure measure, const Sink sink)
{
  Span     span                  = measure.content;
  QfTime   beat                  = qf_time(1, 1);
  char     beat_text[TOKEN_SIZE] = "1";
  char     token[TOKEN_SIZE];
  QfStatus st = QF_OK;
  while (!st && next_token(&span, token)) {
    if (qf_roman_beat_parse(token, &beat)) {
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
      if (sink.keeps_items) {
        st =
          keep_item(reader, (QfRomanItem){.kind = QF_ROMAN_KEY, .beat = beat, .key = reader->key});
      }
    }
    if (!st && !take_sign(reader, beat, token + n_key, sink, &st)) {
      st = add_chord(reader, measure, beat, beat_text, token + n_key, sink);
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
  void* measures = reader->measures;
  if (!reserve(&measures, reader->n_measures, &reader->measures_capacity, sizeof(measure))) {
    return no_memory(reader->error);
  }
  reader->measures                       = (Measure*)measures;
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

/// A copy of a span without the space around it (transfer full); NULL if out of memory
static char*
trimmed(Span span)
{
  skip_space(&span);
  while (span.end > span.start && isspace((unsigned char)span.end[-1])) {
    --span.end;
  }
  return strndup(span.start, (size_t)(span.end - span.start));
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

/// Begin a line; its texts are copied, NULL stays NULL
static QfStatus
keep_line(Reader* const reader, QfRomanLine line, const Span* const tag, const Span* const text)
{
  QfRomanText* const roman = reader->roman;
  void*              lines = roman->lines;
  if (!reserve(&lines, roman->n_lines, &reader->lines_capacity, sizeof(line))) {
    return no_memory(reader->error);
  }
  roman->lines                   = (QfRomanLine*)lines;
  line.first_item                = roman->n_items;
  line.tag                       = tag ? trimmed(*tag) : NULL;
  line.text                      = text ? trimmed(*text) : NULL;
  roman->lines[roman->n_lines++] = line;
  return (tag && !line.tag) || (text && !line.text) ? no_memory(reader->error) : QF_OK;
}

static Measure
measure_here(const Reader* const reader, const int number, const char suffix, const Span content)
{
  return (Measure){number, suffix, content, reader->has_key, reader->key};
}

/// Say again what earlier measures said; the key in force carries on unless they change it
static QfStatus
copy_measures(Reader* const reader, const int first, const int last, const char suffix, Span source)
{
  int  from        = 0;
  int  to          = 0;
  char from_suffix = '\0';
  skip_space(&source);
  if (!takes(&source, 'm') || !take_range(&source, &from, &to, &from_suffix) ||
      to - from != last - first) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the copy is malformed; expected as many measures on both sides, as in "
                 "m5-6 = m3-4");
    return place(reader, first, NULL);
  }

  const QfRomanLine line = {.kind          = QF_ROMAN_COPY,
                            .measure       = first,
                            .last          = last,
                            .suffix        = suffix,
                            .source        = from,
                            .source_suffix = from_suffix};
  QfStatus          st   = keep_line(reader, line, NULL, NULL);
  for (int i = 0; i <= last - first && !st; ++i) {
    const size_t n_known = reader->n_measures;
    for (size_t j = 0; j < n_known && !st; ++j) {
      if (reader->measures[j].number == from + i && reader->measures[j].suffix == from_suffix) {
        const Span    content = reader->measures[j].content;
        const Measure copy    = measure_here(reader, first + i, suffix, content);
        st                    = keep_measure(reader, copy);
        st                    = st ? st : parse_measure(reader, copy, (Sink){.adds_chords = true});
      }
    }
  }
  return st;
}

/// Another reading of a measure, from the key in which that begins; it changes nothing after it
static QfStatus
parse_variant(Reader* const reader, const Measure measure, const int last, Span content)
{
  content.start += 3; // "var"
  const int number = take_number(&content);

  Measure variant = measure_here(reader, measure.number, measure.suffix, content);
  for (size_t i = 0; i < reader->n_measures; ++i) {
    const Measure* const other = &reader->measures[i];
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
  QfStatus          st   = keep_line(reader, line, NULL, NULL);
  if (st) {
    return st;
  }

  QfError      ignored = {0};
  const Reader before  = *reader;
  reader->has_key      = variant.has_key;
  reader->key          = variant.key;
  reader->has_chord    = false;
  reader->error        = &ignored;
  st                   = parse_measure(reader, variant, (Sink){.keeps_items = true});
  reader->has_key      = before.has_key;
  reader->key          = before.key;
  reader->has_chord    = before.has_chord;
  reader->chord        = before.chord;
  reader->error        = before.error;
  if (st != QF_ERR_BAD_FILE) {
    return st ? no_memory(reader->error) : QF_OK;
  }

  // Only a remark beside the analysis, so it is kept as it stands
  QfRomanLine* const kept = &reader->roman->lines[reader->roman->n_lines - 1U];
  reader->roman->n_items  = kept->first_item;
  kept->n_items           = 0U;
  kept->text              = trimmed(content);
  return kept->text ? QF_OK : no_memory(reader->error);
}

/// A line that begins with `m` and a number
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
    return parse_variant(reader, measure_here(reader, first, suffix, span), last, span);
  }

  Span content   = span;
  reader->number = last;
  skip_space(&content);
  if (takes(&content, '=')) {
    return copy_measures(reader, first, last, suffix, content);
  }
  if (first != last || (span.start < span.end && !isspace((unsigned char)*span.start))) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "\"m%d\" is followed by \"%.*s\"; expected a space and chords", first,
                 (int)(span.end - span.start > 20 ? 20 : span.end - span.start), span.start);
    return place(reader, first, NULL);
  }

  const Measure     measure = measure_here(reader, first, suffix, content);
  const QfRomanLine line    = {
       .kind = QF_ROMAN_MEASURE, .measure = first, .last = last, .suffix = suffix};
  QfStatus st = keep_measure(reader, measure);
  st          = st ? st : keep_line(reader, line, NULL, NULL);
  return st ? st : parse_measure(reader, measure, (Sink){.keeps_items = true, .adds_chords = true});
}

/// Read "4/4", with the doubt or the hint at the beat some analysts add
static QfStatus
parse_metre(Reader* const reader, const Span content, QfMetre* const result)
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
  *result = metre;
  return QF_OK;
}

static bool
header_is(const Span name, const char* const wanted)
{
  const size_t length = strlen(wanted);
  return (size_t)(name.end - name.start) == length && !strncasecmp(name.start, wanted, length);
}

/// What a tag makes of its line
static QfRomanLineKind
kind_of_tag(const Span tag)
{
  return header_is(tag, "Time Signature") ? QF_ROMAN_METRE
         : header_is(tag, "Note")         ? QF_ROMAN_NOTE
         : header_is(tag, "Form")         ? QF_ROMAN_FORM
         : header_is(tag, "Pedal")        ? QF_ROMAN_PEDAL
                                          : QF_ROMAN_FIELD;
}

/// Lines such as "Title: ..."
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
  }

  QfRomanLine line = {.kind = kind_of_tag(name), .measure = reader->number, .last = reader->number};
  const QfStatus st =
    line.kind == QF_ROMAN_METRE ? parse_metre(reader, content, &line.metre) : QF_OK;
  return st ? st : keep_line(reader, line, &name, &content);
}

static QfStatus
parse_line(Reader* const reader, Span span)
{
  span.end = span.start + strnlen(span.start, (size_t)(span.end - span.start));
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
  Reader      reader = {.roman = &roman, .error = error, .number = -1};
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
