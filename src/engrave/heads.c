// SPDX-License-Identifier: MIT
#include "engraving.h"

#include <math.h>
#include <stdlib.h>

#define DOT_GAP 0.35
#define HEAD_GAP 0.12
#define BESIDE_GAP 0.3 ///< Before what stands beside the other heads

Glyph
engrave_head_glyph(const int value)
{
  return value < 0 ? GLYPH_BREVE : value == 0 ? GLYPH_WHOLE : value == 1 ? GLYPH_HALF : GLYPH_BLACK;
}

double
engrave_head_width(const Engraving* const e, const int value)
{
  const Box box = e->fonts.boxes[engrave_head_glyph(value)];
  return box.right - box.left;
}

/// One head can serve two voices if both would draw the very same sign
static bool
can_share(const Mark* const a, const Mark* const b)
{
  return a->position == b->position && a->symbol.pitch.alter == b->symbol.pitch.alter &&
         a->symbol.value == b->symbol.value && a->symbol.dots == b->symbol.dots &&
         a->symbol.value >= 1 && a->stem != b->stem && a->sign == b->sign;
}

/**
   Two voices with stems apart, the upper with its stem up.

   A second stands with the upper voice left, so that the stems meet; crossed
   voices stand with the upper voice right, so that neither stem runs through
   the other's head.

   Rule: common practice.
*/
static void
place_pair(const Engraving* const e, Mark* const up, Mark* const down)
{
  const int    distance   = up->position - down->position;
  const double up_width   = engrave_head_width(e, up->symbol.value);
  const double down_width = engrave_head_width(e, down->symbol.value);
  if (can_share(up, down)) {
    down->shares_head = true;
  } else if (distance == 0) {
    down->dx = up_width + HEAD_GAP;
  } else if (distance == 1) {
    down->dx = up_width - (up->stem ? STEM_THICKNESS : -HEAD_GAP);
  } else if (distance < 0 && (up->stem || distance == -1)) {
    up->dx = down_width + HEAD_GAP;
  }
}

/// True if a mark at `dx` would touch one that stands already
static bool
touches(const Engraving* const e, const Mark* const mark, const double dx, const Mark* const other)
{
  const double width = engrave_head_width(e, mark->symbol.value);
  const double right = other->dx + engrave_head_width(e, other->symbol.value);
  return abs(mark->position - other->position) < 2 && dx < right + HEAD_GAP / 2.0 &&
         other->dx < dx + width + HEAD_GAP / 2.0;
}

/// Many voices: each takes the first free place to the right
static void
place_many(const Engraving* const e, Mark* const* const marks, const size_t n)
{
  for (size_t i = 1; i < n; ++i) {
    for (size_t j = 0; j < i; ++j) {
      if (!marks[j]->shares_head && can_share(marks[i], marks[j])) {
        marks[i]->shares_head = true;
        marks[i]->dx          = marks[j]->dx;
      }
    }
    for (size_t j = 0; !marks[i]->shares_head && j < i; ++j) {
      if (touches(e, marks[i], marks[i]->dx, marks[j])) {
        marks[i]->dx = marks[j]->dx + engrave_head_width(e, marks[j]->symbol.value) + HEAD_GAP;
        j            = (size_t)-1; // start over: the new place may touch another
      }
    }
  }
}

/// Dots stand in spaces: a head on a line sends its dot up, a lower voice down
static void
place_dots(const Engraving* const e, Mark* const* const marks, const size_t n)
{
  double right = 0.0;
  for (size_t i = 0; i < n; ++i) {
    right = fmax(right, marks[i]->dx + engrave_head_width(e, marks[i]->symbol.value));
  }

  for (size_t i = 0; i < n; ++i) {
    Mark* const mark = marks[i];
    if (!mark->symbol.dots) {
      continue;
    }
    const bool is_on_line = mark->position % 2 == 0;
    const bool has_flag   = mark->stem > 0 && mark->symbol.value > 2 && mark->beam == NO_INDEX;
    const int  shift      = mark->side < 0 ? -1 : 1;
    mark->dot_position    = mark->position + (is_on_line ? shift : 0);
    mark->dot_dx          = right + DOT_GAP + (has_flag ? 0.55 : 0.0);
    for (size_t j = 0; j < i; ++j) {
      if (marks[j]->symbol.dots && marks[j]->dot_position == mark->dot_position &&
          marks[j]->position != mark->position) {
        mark->dot_position -= 2;
      }
    }
  }
}

static size_t
heads_at(Engraving* const    e,
         const Column* const column,
         const size_t        staff,
         const bool          is_beside,
         Mark** const        marks)
{
  size_t n = 0;
  for (size_t i = 0; i < column->n_marks; ++i) {
    Mark* const mark = &e->marks[e->by_column[column->first_mark + i]];
    if (mark->staff == staff && mark->is_beside == is_beside && engrave_is_inked(mark)) {
      marks[n++] = mark;
    }
  }
  return n;
}

static void
place_group(const Engraving* const e, Mark* const* const marks, const size_t n)
{
  if (n == 2 && marks[0]->side > marks[1]->side) {
    place_pair(e, marks[0], marks[1]);
  } else if (n > 1) {
    place_many(e, marks, n);
  }
  place_dots(e, marks, n);
}

void
engrave_place_heads(Engraving* const e)
{
  Mark* marks[MAX_LINES];
  for (size_t c = 0; c < e->n_columns; ++c) {
    for (size_t s = 0; s < e->n_staves; ++s) {
      place_group(e, marks, heads_at(e, &e->columns[c], s, false, marks));
      place_group(e, marks, heads_at(e, &e->columns[c], s, true, marks));
    }
  }
}

/// Left and right edge of all that belongs to heads
static Box
extent_of(const Engraving* const e, Mark* const* const marks, const size_t n)
{
  Box box = {0.0, 0.0, 0.0, 0.0};
  for (size_t i = 0; i < n; ++i) {
    const Mark* const mark  = marks[i];
    const bool        flag  = mark->stem > 0 && mark->symbol.value > 2 && mark->beam == NO_INDEX;
    const double      room  = engrave_room_of(mark->sign);
    const double      width = engrave_head_width(e, mark->symbol.value);
    const double      dots  = mark->symbol.dots ? mark->dot_dx + 0.65 * mark->symbol.dots : 0.0;
    box.left  = fmin(box.left, mark->accidental ? mark->accidental_dx : mark->dx - room);
    box.right = fmax(box.right, mark->dx + width + fmax(room, flag ? 0.8 : 0.0));
    box.right = fmax(box.right, dots);
  }
  return box;
}

void
engrave_place_beside(Engraving* const e)
{
  Mark* marks[MAX_LINES];
  for (size_t c = 0; e->overlay && c < e->n_columns; ++c) {
    for (size_t s = 0; s < e->n_staves; ++s) {
      const size_t n_main = heads_at(e, &e->columns[c], s, false, marks);
      const Box    main   = extent_of(e, marks, n_main);
      const size_t n      = heads_at(e, &e->columns[c], s, true, marks);
      const double shift  = n_main ? main.right + BESIDE_GAP - extent_of(e, marks, n).left : 0.0;
      for (size_t i = 0; i < n; ++i) {
        marks[i]->dx += shift;
        marks[i]->accidental_dx += shift;
        marks[i]->dot_dx += shift;
      }
    }
  }
}
