// SPDX-License-Identifier: MIT
#include "drawing.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#define FRAME_THICKNESS 0.14

enum { LONGEST_RUN = 256 };

static void
add(Engraving* const e, const size_t page_index, const Item item)
{
  Page* const page = &e->pages[page_index];
  if (engrave_reserve(e, (void**)&page->items, &page->max_items, page->n_items, sizeof(Item))) {
    page->items[page->n_items] = item;
    if (item.ink == INK_MAIN) {
      page->items[page->n_items].ink = e->pen;
    }
    ++page->n_items;
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

/// Add a glyph whose left edge is at `item.x`; a negative size turns it upside down
static void
add_glyph(Engraving* const e, const size_t page, const Glyph glyph, Item item)
{
  const Box    box    = e->fonts.boxes[glyph];
  const double scale  = item.size;
  const double top    = fmin(box.top * scale, box.bottom * scale);
  const double bottom = fmax(box.top * scale, box.bottom * scale);

  item.kind    = ITEM_GLYPH;
  item.what    = (int)glyph;
  item.stretch = fabs(scale);
  item.x -= box.left * item.stretch;
  item.box =
    shifted((Box){box.left * item.stretch, top, box.right * item.stretch, bottom}, item.x, item.y);
  add(e, page, item);
}

void
draw_glyph(Engraving* const e,
           const size_t     page,
           const Glyph      glyph,
           const double     x,
           const double     y,
           const uint32_t   note)
{
  add_glyph(e, page, glyph, (Item){.note = note, .x = x, .y = y, .size = 1.0});
}

void
draw_scaled(Engraving* const e,
            const size_t     page,
            const Glyph      glyph,
            const double     scale,
            const double     x,
            const double     y)
{
  add_glyph(e, page, glyph, (Item){.note = QF_NO_NOTE, .x = x, .y = y, .size = scale});
}

void
draw_outline(Engraving* const e,
             const size_t     page,
             const Glyph      glyph,
             const double     x,
             const double     y,
             const uint32_t   note)
{
  add_glyph(e, page, glyph, (Item){.is_outline = true, .note = note, .x = x, .y = y, .size = 1.0});
}

void
draw_ring(Engraving* const e,
          const size_t     page,
          const Box        box,
          const double     thickness,
          const bool       is_dashed)
{
  add(e, page, (Item){.kind = ITEM_RING, .is_dashed = is_dashed, .size = thickness, .box = box});
}

/// Add a straight line; `margin` is how far its box goes beyond it
static void
add_line(Engraving* const e, const size_t page, Item item, const double margin)
{
  item.kind = ITEM_LINE;
  item.box  = (Box){fmin(item.x, item.x2) - margin, fmin(item.y, item.y2) - margin,
                    fmax(item.x, item.x2) + margin, fmax(item.y, item.y2) + margin};
  add(e, page, item);
}

void
draw_frame(Engraving* const e, const size_t page, const Box box, const bool is_dashed)
{
  const double corners[][2] = {{box.left, box.top},
                               {box.right, box.top},
                               {box.right, box.bottom},
                               {box.left, box.bottom},
                               {box.left, box.top}};
  for (int i = 0; i < 4; ++i) {
    const double* const from = corners[i];
    const double* const to   = corners[i + 1];
    add_line(e, page,
             (Item){.is_dashed = is_dashed,
                    .x         = from[0],
                    .y         = from[1],
                    .x2        = to[0],
                    .y2        = to[1],
                    .size      = FRAME_THICKNESS},
             FRAME_THICKNESS);
  }
}

void
draw_flipped(Engraving* const e,
             const size_t     page,
             const Glyph      glyph,
             const double     x,
             const double     y,
             const uint32_t   note)
{
  add_glyph(e, page, glyph, (Item){.note = note, .x = x, .y = y, .size = -1.0});
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
  add_line(e, page, (Item){.x = x, .y = y, .x2 = x2, .y2 = y2, .size = thickness}, thickness / 2.0);
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

/// A sign that text fonts draw poorly or not at all
typedef struct {
  const char* text;
  Shape       shape;
  int         n; ///< Times the shape is repeated; 0 for a letter that is raised
} TextSign;

static const TextSign text_signs[] = {
  {"\u266D", SHAPE_FLAT, 1},     {"\u266E", SHAPE_NATURAL, 1},
  {"\u266F", SHAPE_SHARP, 1},    {"\U0001D12A", SHAPE_DOUBLE_SHARP, 1},
  {"\U0001D12B", SHAPE_FLAT, 2}, {"\u00F8", N_SHAPES, 0},
};

#define SIGN_SCALE 0.335 ///< Of a sign, in ems
#define SIGN_PAD 0.06    ///< On either side of a sign, in ems
#define RAISED_SCALE 0.78
#define RAISED_BY 0.28

static const TextSign*
sign_at(const char* const text)
{
  for (size_t i = 0; i < sizeof(text_signs) / sizeof(text_signs[0]); ++i) {
    if (!strncmp(text, text_signs[i].text, strlen(text_signs[i].text))) {
      return &text_signs[i];
    }
  }
  return NULL;
}

/// The text up to the next sign; returns what follows it
static const char*
plain_run(const char* text, char* const run, const size_t size)
{
  size_t n = 0;
  while (text[0] && !sign_at(text) && n + 1 < size) {
    run[n++] = *text++;
  }
  // A run that is full ends with a whole UTF-8 character; a text that is none is cut anywhere
  size_t cut = 0;
  while (cut < 4 && cut < n && ((unsigned char)text[-(ptrdiff_t)cut] & 0xC0U) == 0x80U) {
    ++cut;
  }
  cut          = cut < 4 && cut < n ? cut : 0;
  run[n - cut] = '\0';
  return text - cut;
}

static double
sign_width(const Engraving* const e, const TextSign* const sign, const TextStyle style, double size)
{
  if (!sign->n) {
    return fonts_text_width(&e->fonts, sign->text, style, size * RAISED_SCALE);
  }
  const Box box = shape_box(sign->shape);
  return size * (2.0 * SIGN_PAD + SIGN_SCALE * box.right * (1.0 + 0.85 * (sign->n - 1)));
}

double
engrave_text_width(const Engraving* const e, const char* text, const TextStyle style, double size)
{
  double width = 0.0;
  char   run[LONGEST_RUN];
  while (text[0]) {
    text = plain_run(text, run, sizeof(run));
    width += fonts_text_width(&e->fonts, run, style, size);
    for (const TextSign* sign = sign_at(text); sign; sign = sign_at(text)) {
      width += sign_width(e, sign, style, size);
      text += strlen(sign->text);
    }
  }
  return width;
}

/// Draw a text without signs whose width is known
static void
draw_run(Engraving* const  e,
         const size_t      page,
         const char* const run,
         const TextStyle   style,
         const double      size,
         const double      x,
         const double      y,
         const double      width)
{
  if (run[0]) {
    add(e, page,
        (Item){.kind = ITEM_TEXT,
               .what = (int)style,
               .x    = x,
               .y    = y,
               .size = size,
               .text = keep_text(e, &e->pages[page], run),
               .box  = {x - 0.3 * size, y - 1.2 * size, x + width + 0.3 * size, y + size}});
  }
}

/// Draw a sign; returns its width
static double
draw_sign(Engraving* const      e,
          const size_t          page,
          const TextSign* const sign,
          const TextStyle       style,
          const double          size,
          const double          x,
          const double          y)
{
  const double width = sign_width(e, sign, style, size);
  if (!sign->n) {
    draw_run(e, page, sign->text, style, size * RAISED_SCALE, x, y - size * RAISED_BY, width);
    return width;
  }

  // A flat stands on the baseline with its bowl, the others on half the height of a figure
  const double scale  = size * SIGN_SCALE;
  const Box    box    = shape_box(sign->shape);
  const double middle = y - (sign->shape == SHAPE_FLAT ? box.bottom * scale : 0.36 * size);
  for (int i = 0; i < sign->n; ++i) {
    const double left = x + SIGN_PAD * size + i * 0.85 * box.right * scale;
    draw_shape(e, page, sign->shape, left, middle, scale, QF_NO_NOTE);
  }
  return width;
}

double
draw_text(Engraving* const e,
          const size_t     page,
          const char*      text,
          const TextStyle  style,
          const double     size,
          const double     x,
          const double     y,
          const Align      align)
{
  const bool   is_measured = align != ALIGN_START;
  const double width       = is_measured ? engrave_text_width(e, text, style, size) : 0.0;
  const double start       = x - (align == ALIGN_MIDDLE ? width / 2.0 : width);
  double       at          = start;
  char         run[LONGEST_RUN];
  while (text[0]) {
    text = plain_run(text, run, sizeof(run));
    // Measuring takes most of the time, so what is a single run is not measured twice.
    const bool   is_whole  = is_measured && !text[0] && at <= start;
    const double run_width = is_whole ? width : fonts_text_width(&e->fonts, run, style, size);
    draw_run(e, page, run, style, size, at, y, run_width);
    at += run_width;
    for (const TextSign* sign = sign_at(text); sign; sign = sign_at(text)) {
      at += draw_sign(e, page, sign, style, size, at, y);
      text += strlen(sign->text);
    }
  }
  return at - start;
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
