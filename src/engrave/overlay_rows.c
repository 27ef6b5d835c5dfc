// SPDX-License-Identifier: MIT
// Qualities over and numerals under the staves of an overlay, the answer's row and the passage's.
#include "drawing.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define QUALITY_SIZE 1.7

/// A row of an overlay
typedef struct {
  Row     row;
  QfLayer layer;
  bool    is_theirs;
} OverlayRow;

static const OverlayRow overlay_rows[] = {
  {ROW_THEIR_QUALITIES, QF_LAYER_QUALITY, true},
  {ROW_ASKED_QUALITIES, QF_LAYER_QUALITY, false},
  {ROW_THEIR_NUMERALS, QF_LAYER_NUMERAL, true},
  {ROW_NUMERALS, QF_LAYER_NUMERAL, false},
};

/// Numerals help to find one's way, asked for or not
static bool
is_row_wanted(const Engraving* const e, const OverlayRow* const row)
{
  const QfOverlayOptions options = e->overlay->options;
  const QfGrade* const   grade   = qf_comparison_get_grade(e->overlay->comparison);
  const bool             is_of_pages =
    options.pages == QF_OVERLAY_BOTH || row->is_theirs == (options.pages == QF_OVERLAY_THEIRS);
  return is_of_pages && !(options.hidden_rows & 1U << row->layer) &&
         (row->layer == QF_LAYER_NUMERAL || qf_grade_has_layer(grade, row->layer));
}

static Sign
sign_of(const Engraving* const e, const QfComparedChord* const chord)
{
  if (!chord->is_theirs) {
    return e->overlay->options.pages == QF_OVERLAY_BOTH ? SIGN_QUIET : SIGN_NONE;
  }
  return chord->kind == QF_COMPARED_DIFFERS ? SIGN_RING
         : chord->kind == QF_COMPARED_EXTRA ? SIGN_STRIKE
                                            : SIGN_NONE;
}

/// "E: " where the key is not that of the chord before in its row
static void
write_head(const QfComparedChord* const chord, const QfKey* const before, Tag* const tag)
{
  char                 name[16] = "";
  const QfNumeralParts parts    = tag->text;
  if (before && !qf_key_equals(chord->key, *before)) {
    qf_key_write_short(chord->key, name, sizeof(name));
    snprintf(tag->text.head, sizeof(tag->text.head), "%s: %.16s", name, parts.head);
  }
}

static Tag
tag_of(const Engraving* const       e,
       const OverlayRow* const      row,
       const QfComparedChord* const chord,
       const QfKey* const           before)
{
  Tag tag = {.column = engrave_column_at(e, chord->place),
             .row    = (size_t)row->row,
             .sign   = sign_of(e, chord)};
  if (row->layer == QF_LAYER_QUALITY) {
    snprintf(tag.text.head, sizeof(tag.text.head), "%.31s", chord->text);
    tag.width = engrave_text_width(e, tag.text.head, TEXT_SANS, QUALITY_SIZE);
    return tag;
  }
  if (chord->has_numeral) {
    qf_numeral_parts(&chord->numeral, chord->key.mode, &tag.text);
  } else {
    snprintf(tag.text.head, sizeof(tag.text.head), "%.31s", chord->text);
  }
  write_head(chord, before, &tag);
  engrave_measure_numeral(e, &tag);
  return tag;
}

/// The place of what is missing in the answer's row
static Tag
missing_tag(const Engraving* const       e,
            const OverlayRow* const      row,
            const QfComparedChord* const chord)
{
  Tag tag   = {.column = engrave_column_at(e, chord->place),
               .row    = (size_t)row->row,
               .text   = {.head = "\u2013"},
               .sign   = SIGN_DASHES};
  tag.width = engrave_text_width(e, tag.text.head, TEXT_SANS, QUALITY_SIZE);
  return tag;
}

/// True if the answer has anything in a layer
static bool
is_written(const QfComparison* const c, const QfLayer layer)
{
  for (size_t i = 0; i < qf_comparison_n_chords(c); ++i) {
    const QfComparedChord* const chord = qf_comparison_get_chord(c, i);
    if (chord->layer == layer && chord->is_theirs) {
      return true;
    }
  }
  return false;
}

static void
tag_row(Engraving* const e, const OverlayRow* const row)
{
  const QfComparison* const c       = e->overlay->comparison;
  const bool                is_used = is_written(c, row->layer);
  const QfKey*              before  = NULL;
  for (size_t i = 0; i < qf_comparison_n_chords(c); ++i) {
    const QfComparedChord* const chord = qf_comparison_get_chord(c, i);
    if (chord->layer != row->layer) {
      continue;
    }
    if (chord->is_theirs == row->is_theirs) {
      engrave_add_tag(e, tag_of(e, row, chord, before));
      before = &chord->key;
    } else if (is_used && row->is_theirs && chord->kind == QF_COMPARED_MISSING) {
      engrave_add_tag(e, missing_tag(e, row, chord));
    }
  }
}

/// The row that has the numbers of a layer's verdicts
static Row
row_of_numbers(const QfLayer layer)
{
  return layer == QF_LAYER_QUALITY   ? ROW_QUALITY_NUMBERS
         : layer == QF_LAYER_NUMERAL ? ROW_NUMERAL_NUMBERS
                                     : ROW_NOTE_NUMBERS;
}

/// Where a verdict stands in the passage
static QfTime
place_of(const QfGrade* const grade, const size_t index)
{
  for (size_t i = 0; i < qf_grade_n_differences(grade); ++i) {
    const QfDifference* const difference = qf_grade_get_difference(grade, i);
    if (difference->verdict == index) {
      return difference->place;
    }
  }
  return qf_grade_get_verdict(grade, index)->start;
}

/// Add a number to those of its column; "1, 3" where there are several
static void
tag_number(Engraving* const e, const Row row, const size_t column, const unsigned number)
{
  Tag* tag = NULL;
  for (size_t i = e->first_tag[row]; i < e->n_tags && !tag; ++i) {
    tag = e->tags[i].column == column ? &e->tags[i] : NULL;
  }
  if (!tag) {
    engrave_add_tag(e, (Tag){.column = column, .row = (size_t)row});
    tag = e->failed ? NULL : &e->tags[e->n_tags - 1U];
  }
  if (tag) {
    const size_t length = strlen(tag->text.head);
    snprintf(tag->text.head + length, sizeof(tag->text.head) - length, "%s%u", length ? ", " : "",
             number);
    tag->width = engrave_text_width(e, tag->text.head, TEXT_BOLD, VERDICT_NUMBER_SIZE);
  }
}

static int
compare_columns(const void* const a, const void* const b)
{
  const size_t x = ((const Tag*)a)->column;
  const size_t y = ((const Tag*)b)->column;
  return (x > y) - (x < y);
}

static void
tag_numbers(Engraving* const e, const Row row)
{
  const QfGrade* const  grade   = qf_comparison_get_grade(e->overlay->comparison);
  const uint16_t* const numbers = e->overlay->options.numbers;
  for (size_t i = 0; numbers && i < qf_grade_n_verdicts(grade); ++i) {
    if (numbers[i] && row_of_numbers(qf_grade_get_verdict(grade, i)->layer) == row) {
      tag_number(e, row, engrave_column_at(e, place_of(grade, i)), numbers[i]);
    }
  }
  // Verdicts come layer by layer.
  const size_t first = e->first_tag[row];
  if (e->n_tags > first) {
    qsort(&e->tags[first], e->n_tags - first, sizeof(Tag), compare_columns);
  }
}

void
overlay_make_tags(Engraving* const e)
{
  size_t next = 0;
  for (size_t r = 0; r < N_ROWS; ++r) {
    e->first_tag[r] = e->n_tags;
    if (r == ROW_QUALITY_NUMBERS || r == ROW_NOTE_NUMBERS || r == ROW_NUMERAL_NUMBERS) {
      tag_numbers(e, (Row)r);
    }
    if (next < sizeof(overlay_rows) / sizeof(overlay_rows[0]) && overlay_rows[next].row == (Row)r) {
      if (is_row_wanted(e, &overlay_rows[next])) {
        tag_row(e, &overlay_rows[next]);
      }
      ++next;
    }
  }
  e->first_tag[N_ROWS] = e->n_tags;
}
