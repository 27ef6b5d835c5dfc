// SPDX-License-Identifier: MIT
// The words of a measure: keys, chords and signs.
// Source: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019, and the syntax
// notes of the When in Rome corpus.
#include "romantext_reader.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

enum {
  MAX_CHORDS = 200000,
  TOKEN_SIZE = 96,
};

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

static QfStatus
keep_chord(RomanReader* const reader, const QfRomanChord chord, const char* const beat_text)
{
  QfRomanText* const roman = reader->roman;
  if (roman->n_chords == MAX_CHORDS) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE, "there are more than %d chords", MAX_CHORDS);
    return roman_place(reader, chord.measure, beat_text);
  }
  void* chords = roman->chords;
  if (!roman_reserve(&chords, roman->n_chords, &reader->chords_capacity, sizeof(chord))) {
    return roman_no_memory(reader->error);
  }
  roman->chords                    = (QfRomanChord*)chords;
  roman->chords[roman->n_chords++] = chord;
  return QF_OK;
}

/// Add a word to the line being read
static QfStatus
keep_item(RomanReader* const reader, const QfRomanItem item)
{
  QfRomanText* const roman = reader->roman;
  void*              items = roman->items;
  if (!roman_reserve(&items, roman->n_items, &reader->items_capacity, sizeof(item))) {
    return roman_no_memory(reader->error);
  }
  roman->items                   = (QfRomanItem*)items;
  roman->items[roman->n_items++] = item;
  roman->lines[roman->n_lines - 1U].n_items++;
  return QF_OK;
}

static QfStatus
add_chord(RomanReader* const reader,
          const RomanMeasure measure,
          const QfTime       beat,
          const char* const  beat_text,
          const char* const  token,
          const RomanSink    sink)
{
  QfRomanChord chord = {.measure = measure.number, .suffix = measure.suffix, .beat = beat};
  if (!reader->has_key) {
    qf_error_set(reader->error, QF_ERR_BAD_FILE,
                 "the chord \"%s\" comes before any key; expected one such as C: or a:", token);
    return roman_place(reader, measure.number, beat_text);
  }
  if (qf_numeral_parse(token, reader->key.mode, &chord.numeral, reader->error)) {
    return roman_place(reader, measure.number, beat_text);
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
take_sign(RomanReader* const reader,
          const QfTime       beat,
          const char* const  word,
          const RomanSink    sink,
          QfStatus* const    st)
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
next_token(RomanSpan* const span, char token[TOKEN_SIZE])
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

QfStatus
roman_read_words(RomanReader* const reader, const RomanMeasure measure, const RomanSink sink)
{
  RomanSpan span                  = measure.content;
  QfTime    beat                  = qf_time(1, 1);
  char      beat_text[TOKEN_SIZE] = "1";
  char      token[TOKEN_SIZE];
  QfStatus  st = QF_OK;
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
        return roman_place(reader, measure.number, beat_text);
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
