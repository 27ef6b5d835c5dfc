// SPDX-License-Identifier: MIT
// Source: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019, and the syntax
// notes of the When in Rome corpus.
#include "romantext.h"

#include <stdlib.h>
#include <string.h>

static const char* const signs[] = {
  [QF_ROMAN_KEY]          = "",
  [QF_ROMAN_CHORD]        = "",
  [QF_ROMAN_REST]         = "r",
  [QF_ROMAN_PHRASE_END]   = "||",
  [QF_ROMAN_REPEAT_END]   = ":||",
  [QF_ROMAN_REPEAT_START] = "||:",
  [QF_ROMAN_REPEAT_BOTH]  = ":||:",
};

static bool
is_text(const QfRomanLine* const line)
{
  return line->kind <= QF_ROMAN_PEDAL;
}

static void
print_item(QfText* const text, const QfRomanItem* const item)
{
  char buffer[QF_NUMERAL_TEXT_SIZE];
  switch (item->kind) {
    case QF_ROMAN_KEY:
      qf_key_write_short(item->key, buffer, sizeof(buffer));
      qf_text_addf(text, " %s:", buffer);
      break;
    case QF_ROMAN_CHORD:
      qf_numeral_write(&item->numeral, item->key.mode, buffer, sizeof(buffer));
      qf_text_addf(text, " %s", buffer);
      break;
    default:
      qf_text_addf(text, " %s", signs[item->kind]);
  }
}

static void
print_items(QfText* const text, const QfRomanText* const roman, const QfRomanLine* const line)
{
  QfTime beat = qf_time(1, 1);
  for (size_t i = line->first_item; i < line->first_item + line->n_items; ++i) {
    const QfRomanItem* const item = &roman->items[i];
    if (qf_time_compare(item->beat, beat)) {
      qf_text_add(text, " ");
      qf_roman_beat_write(text, item->beat);
      beat = item->beat;
    }
    print_item(text, item);
  }
}

static void
print_range(QfText* const text, const int first, const char suffix, const int last)
{
  const char letter[2] = {suffix, '\0'};
  qf_text_addf(text, "m%d%s", first, letter);
  if (last > first) {
    qf_text_addf(text, "-%d", last);
  }
}

static void
print_metre(QfText* const text, const QfRomanLine* const line)
{
  if (line->text) {
    qf_text_addf(text, "%s: %s", line->tag, line->text);
  } else {
    qf_text_addf(text, "Time Signature: %d/%d", line->metre.numerator, line->metre.denominator);
  }
}

static void
print_line(QfText* const text, const QfRomanText* const roman, const QfRomanLine* const line)
{
  if (line->kind == QF_ROMAN_METRE) {
    print_metre(text, line);
  } else if (is_text(line)) {
    qf_text_addf(text, "%s:%s%s", line->tag, line->text[0] ? " " : "", line->text);
  } else {
    print_range(text, line->measure, line->suffix, line->last);
    if (line->kind == QF_ROMAN_VARIANT) {
      qf_text_add(text, "var");
      if (line->variant) {
        qf_text_addf(text, "%d", line->variant);
      }
    }
    if (line->kind == QF_ROMAN_COPY) {
      qf_text_add(text, " = ");
      print_range(text, line->source, line->source_suffix,
                  line->source + line->last - line->measure);
    } else if (line->text) {
      qf_text_addf(text, " %s", line->text);
    } else {
      print_items(text, roman, line);
    }
  }
  qf_text_add(text, "\n");
}

/// Blank lines set off the head and the time signatures
static bool
has_gap(const QfRomanLine* const before, const QfRomanLine* const line)
{
  const bool ends_head = is_text(before) && before->measure < 0 && !is_text(line);
  return ends_head || (before->kind == QF_ROMAN_METRE) != (line->kind == QF_ROMAN_METRE);
}

QfStatus
qf_romantext_print(const QfRomanText* const roman, char** const text, QfError* const error)
{
  QfText out = {0};
  for (size_t i = 0; i < roman->n_lines; ++i) {
    const QfRomanLine* const line = &roman->lines[i];
    if (i && has_gap(line - 1, line)) {
      qf_text_add(&out, "\n");
    }
    print_line(&out, roman, line);
  }

  char* const result = qf_text_take(&out);
  if (!result) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory while writing RomanText");
  }
  *text = result;
  return QF_OK;
}

static bool
texts_equal(const char* const a, const char* const b)
{
  return a && b ? !strcmp(a, b) : !a && !b;
}

static bool
lines_equal(const QfRomanLine* const a, const QfRomanLine* const b)
{
  return a->kind == b->kind && a->measure == b->measure && a->last == b->last &&
         a->suffix == b->suffix && a->variant == b->variant && a->source == b->source &&
         a->source_suffix == b->source_suffix && texts_equal(a->tag, b->tag) &&
         texts_equal(a->text, b->text) && a->n_items == b->n_items &&
         (a->kind != QF_ROMAN_METRE || qf_metre_equals(a->metre, b->metre));
}

static bool
items_equal(const QfRomanItem* const a, const QfRomanItem* const b)
{
  return a->kind == b->kind && !qf_time_compare(a->beat, b->beat) &&
         qf_key_equals(a->key, b->key) && a->is_pivot == b->is_pivot &&
         (a->kind != QF_ROMAN_CHORD || qf_numeral_equals(&a->numeral, &b->numeral));
}

static bool
chords_equal(const QfRomanChord* const a, const QfRomanChord* const b)
{
  return a->measure == b->measure && a->suffix == b->suffix && !qf_time_compare(a->beat, b->beat) &&
         qf_key_equals(a->key, b->key) && a->is_pivot == b->is_pivot &&
         qf_numeral_equals(&a->numeral, &b->numeral);
}

bool
qf_romantext_equals(const QfRomanText* const a, const QfRomanText* const b)
{
  bool is_equal = a->n_lines == b->n_lines && a->n_items == b->n_items &&
                  a->n_chords == b->n_chords && !strcmp(a->title, b->title) &&
                  !strcmp(a->composer, b->composer) && qf_metre_equals(a->metre, b->metre);
  for (size_t i = 0; is_equal && i < a->n_lines; ++i) {
    is_equal = lines_equal(&a->lines[i], &b->lines[i]);
  }
  for (size_t i = 0; is_equal && i < a->n_items; ++i) {
    is_equal = items_equal(&a->items[i], &b->items[i]);
  }
  for (size_t i = 0; is_equal && i < a->n_chords; ++i) {
    is_equal = chords_equal(&a->chords[i], &b->chords[i]);
  }
  return is_equal;
}

void
qf_romantext_clear(QfRomanText* const roman)
{
  for (size_t i = 0; i < roman->n_lines; ++i) {
    free(roman->lines[i].tag);
    free(roman->lines[i].text);
  }
  free(roman->lines);
  free(roman->items);
  free(roman->chords);
  *roman = (QfRomanText){0};
}
