// SPDX-License-Identifier: MIT
#include "drawing.h"

#include <math.h>
#include <string.h>

static void
add(Engraving* const e, const size_t page_index, const Item item)
{
  Page* const page = &e->pages[page_index];
  if (engrave_reserve(e, (void**)&page->items, &page->max_items, page->n_items, sizeof(Item))) {
    page->items[page->n_items++] = item;
  }
}

/// Keep a string with its page; offset 0 is the empty string
static size_t
keep_text(Engraving* const e, Page* const page, const char* const text)
{
  const size_t length = strlen(text) + 1;
  const size_t start  = page->n_text;
  for (size_t i = 0; i < length; ++i) {
    if (!engrave_reserve(e, (void**)&page->text, &page->max_text, page->n_text, 1)) {
      return start;
    }
    page->text[page->n_text++] = text[i];
  }
  return start;
}

static Box
shifted(const Box box, const double x, const double y)
{
  return (Box){box.left + x, box.top + y, box.right + x, box.bottom + y};
}

void
draw_glyph(Engraving* const e,
           const size_t     page,
           const Glyph      glyph,
           const double     x,
           const double     y,
           const uint32_t   note)
{
  const Box    box    = e->fonts.boxes[glyph];
  const double origin = x - box.left;
  add(e, page,
      (Item){.kind    = ITEM_GLYPH,
             .what    = (int)glyph,
             .note    = note,
             .x       = origin,
             .y       = y,
             .size    = 1.0,
             .stretch = 1.0,
             .box     = shifted(box, origin, y)});
}

void
draw_flipped(Engraving* const e,
             const size_t     page,
             const Glyph      glyph,
             const double     x,
             const double     y,
             const uint32_t   note)
{
  const Box    box    = e->fonts.boxes[glyph];
  const double origin = x - box.left;
  const Box    turned = {box.left, -box.bottom, box.right, -box.top};
  add(e, page,
      (Item){.kind    = ITEM_GLYPH,
             .what    = (int)glyph,
             .note    = note,
             .x       = origin,
             .y       = y,
             .size    = -1.0,
             .stretch = 1.0,
             .box     = shifted(turned, origin, y)});
}

void
draw_stretched(Engraving* const e, const size_t page, const Glyph glyph, const Box box)
{
  const Box    own = e->fonts.boxes[glyph];
  const double sx  = (box.right - box.left) / (own.right - own.left);
  const double sy  = (box.bottom - box.top) / (own.bottom - own.top);
  add(e, page,
      (Item){.kind    = ITEM_GLYPH,
             .what    = (int)glyph,
             .x       = box.left - own.left * sx,
             .y       = box.top - own.top * sy,
             .size    = sy,
             .stretch = sx,
             .box     = box});
}

void
draw_shape(Engraving* const e,
           const size_t     page,
           const Shape      shape,
           const double     x,
           const double     y,
           const double     size,
           const uint32_t   note)
{
  const Box box = shape_box(shape);
  add(e, page,
      (Item){.kind = ITEM_SHAPE,
             .what = (int)shape,
             .note = note,
             .x    = x,
             .y    = y,
             .size = size,
             .box  = {x + box.left * size, y + box.top * size, x + box.right * size,
                      y + box.bottom * size}});
}

void
draw_rule(Engraving* const e, const size_t page, const Box box, const Ink ink, const uint32_t note)
{
  add(e, page, (Item){.kind = ITEM_RULE, .ink = ink, .note = note, .box = box});
}

void
draw_line(Engraving* const e,
          const size_t     page,
          const double     x,
          const double     y,
          const double     x2,
          const double     y2,
          const double     thickness)
{
  const double half = thickness / 2.0;
  add(e, page,
      (Item){
        .kind = ITEM_LINE,
        .x    = x,
        .y    = y,
        .x2   = x2,
        .y2   = y2,
        .size = thickness,
        .box  = {fmin(x, x2) - half, fmin(y, y2) - half, fmax(x, x2) + half, fmax(y, y2) + half}});
}

void
draw_beam(Engraving* const e,
          const size_t     page,
          const double     x,
          const double     y,
          const double     x2,
          const double     y2,
          const uint32_t   note)
{
  add(e, page,
      (Item){.kind = ITEM_BEAM,
             .note = note,
             .x    = x,
             .y    = y,
             .x2   = x2,
             .y2   = y2,
             .size = BEAM_THICKNESS,
             .box  = {x, fmin(y, y2), x2, fmax(y, y2) + BEAM_THICKNESS}});
}

void
draw_tie(Engraving* const e,
         const size_t     page,
         const double     x,
         const double     y,
         const double     x2,
         const double     y2,
         const double     height,
         const uint32_t   note)
{
  add(e, page,
      (Item){.kind = ITEM_TIE,
             .note = note,
             .x    = x,
             .y    = y,
             .x2   = x2,
             .y2   = y2,
             .size = height,
             .box  = {x, fmin(y, y2) - fabs(height), x2, fmax(y, y2) + fabs(height)}});
}

double
draw_text(Engraving* const  e,
          const size_t      page,
          const char* const text,
          const TextStyle   style,
          const double      size,
          const double      x,
          const double      y,
          const Align       align)
{
  const double width = fonts_text_width(&e->fonts, text, style, size);
  const double start = align == ALIGN_START    ? x
                       : align == ALIGN_MIDDLE ? x - width / 2.0
                                               : x - width;
  if (text[0]) {
    add(e, page,
        (Item){.kind = ITEM_TEXT,
               .what = (int)style,
               .x    = start,
               .y    = y,
               .size = size,
               .text = keep_text(e, &e->pages[page], text),
               .box  = {start - 0.3 * size, y - 1.2 * size, start + width + 0.3 * size, y + size}});
  }
  return width;
}

/// Signs of an alteration from left to right. Rule: common practice (triple sharp: sharp, cross).
static size_t
signs_of(const int alter, Shape signs[4])
{
  if (alter == 0) {
    signs[0] = SHAPE_NATURAL;
    return 1;
  }
  if (alter < 0) {
    for (int i = 0; i < -alter; ++i) {
      signs[i] = SHAPE_FLAT;
    }
    return (size_t)-alter;
  }

  size_t n = 0;
  if (alter % 2) {
    signs[n++] = SHAPE_SHARP;
  }
  for (int i = 0; i < alter / 2; ++i) {
    signs[n++] = SHAPE_DOUBLE_SHARP;
  }
  return n;
}

void
draw_accidental(Engraving* const e,
                const size_t     page,
                const int        alter,
                const bool       is_courtesy,
                const double     x,
                const double     y,
                const uint32_t   note)
{
  Shape        signs[4];
  const size_t n     = signs_of(alter, signs);
  const double width = engrave_accidental_width(alter, is_courtesy);
  double       left  = x + (is_courtesy ? 0.55 : 0.0);
  if (is_courtesy) {
    draw_shape(e, page, SHAPE_PAREN_OPEN, x, y, 1.0, note);
    draw_shape(e, page, SHAPE_PAREN_CLOSE, x + width - 0.45, y, 1.0, note);
  }
  for (size_t i = 0; i < n; ++i) {
    draw_shape(e, page, signs[i], left, y, 1.0, note);
    left += signs[i] == SHAPE_FLAT ? 0.78 : shape_box(signs[i]).right + 0.1;
  }
}
