// SPDX-License-Identifier: MIT
#include "drawing.h"
#include "signature.h"

#include <math.h>
#include <stdio.h>

#define THICK 0.5
#define BAR_GAP 0.42
#define NAME_SIZE 2.0
#define NUMBER_SIZE 1.55

/// Vertical extent of the whole system, from the first staff's top line to the last one's bottom
static void
system_extent(const Engraving* const e,
              const System* const    system,
              double* const          top,
              double* const          bottom)
{
  *top    = engrave_staff_y(system, 0);
  *bottom = engrave_staff_y(system, e->n_staves - 1) + STAFF_HEIGHT;
}

static void
draw_staff_lines(Engraving* const e, const System* const system)
{
  for (size_t s = 0; s < e->n_staves; ++s) {
    for (int line = 0; line < 5; ++line) {
      const double y = engrave_staff_y(system, s) + line;
      draw_rule(e, system->page,
                (Box){system->x, y - LINE_THICKNESS / 2.0, system->x_end, y + LINE_THICKNESS / 2.0},
                INK_FAINT, QF_NO_NOTE);
    }
  }
}

/// A bar line through the system; `x` is its right edge
static void
draw_vertical(Engraving* const    e,
              const System* const system,
              const double        x,
              const double        thickness)
{
  double top    = 0.0;
  double bottom = 0.0;
  system_extent(e, system, &top, &bottom);
  const double half = LINE_THICKNESS / 2.0;
  draw_rule(e, system->page, (Box){x - thickness, top - half, x, bottom + half}, INK_MAIN,
            QF_NO_NOTE);
}

static void
draw_repeat_dots(Engraving* const e, const System* const system, const double x)
{
  for (size_t s = 0; s < e->n_staves; ++s) {
    const double y = engrave_staff_y(system, s);
    draw_shape(e, system->page, SHAPE_DOT, x, y + 1.5, 1.0, QF_NO_NOTE);
    draw_shape(e, system->page, SHAPE_DOT, x, y + 2.5, 1.0, QF_NO_NOTE);
  }
}

/// The line after a bar: plain, final, or with repeat dots before it
static void
draw_bar_end(Engraving* const e, const System* const system, const size_t b)
{
  const double x       = e->bars[b].x_end;
  const bool   is_last = b + 1 == e->n_bars;
  const bool   repeats = qf_score_get_bar(e->score, b)->ends_repeat;
  if (!is_last && !repeats) {
    draw_vertical(e, system, x, BAR_LINE_THICKNESS);
    return;
  }

  draw_vertical(e, system, x, THICK);
  draw_vertical(e, system, x - THICK - BAR_GAP, BAR_LINE_THICKNESS);
  if (repeats) {
    draw_repeat_dots(e, system, x - THICK - BAR_GAP - BAR_LINE_THICKNESS - BAR_GAP - 0.44);
  }
}

static void
draw_repeat_start(Engraving* const e, const System* const system, const double x)
{
  draw_vertical(e, system, x + THICK, THICK);
  draw_vertical(e, system, x + THICK + BAR_GAP + BAR_LINE_THICKNESS, BAR_LINE_THICKNESS);
  draw_repeat_dots(e, system, x + THICK + 2.0 * BAR_GAP + BAR_LINE_THICKNESS);
}

/// Signature and metre on every staff, from `x` on; returns where they end
static double
draw_change(Engraving* const e, const System* const system, const size_t b, double x)
{
  const BarBox* const bar = &e->bars[b];
  if (bar->cancelled != bar->fifths) {
    x += SIGNATURE_PAD;
    for (size_t s = 0; s < e->n_staves; ++s) {
      draw_signature(e, system->page, e->clefs[s], bar->cancelled, bar->fifths, x,
                     engrave_staff_y(system, s));
    }
    x += engrave_signature_width(bar->cancelled, bar->fifths);
  }
  if (bar->shows_metre) {
    x += METRE_PAD;
    for (size_t s = 0; s < e->n_staves; ++s) {
      draw_metre(e, system->page, e->metres[b], x, engrave_staff_y(system, s));
    }
    x += engrave_metre_width(e, e->metres[b]);
  }
  return x;
}

static double
draw_header(Engraving* const e, const System* const system)
{
  const size_t first = system->first_bar;
  double       clef  = 0.0;
  for (size_t s = 0; s < e->n_staves; ++s) {
    draw_clef(e, system->page, e->clefs[s], system->x + CLEF_PAD, engrave_staff_y(system, s));
    clef = fmax(clef, engrave_clef_width(e, e->clefs[s]));
  }

  double       x      = system->x + CLEF_PAD + clef;
  const int    fifths = e->bars[first].fifths;
  const double width  = engrave_signature_width(0, fifths);
  x += width > 0.0 ? SIGNATURE_PAD : 0.0;
  for (size_t s = 0; s < e->n_staves; ++s) {
    draw_signature(e, system->page, e->clefs[s], 0, fifths, x, engrave_staff_y(system, s));
  }
  x += width;
  for (size_t s = 0; s < e->n_staves && e->bars[first].shows_metre; ++s) {
    draw_metre(e, system->page, e->metres[first], x + METRE_PAD, engrave_staff_y(system, s));
  }
  return system->x + system->header;
}

/// Two staves are braced as one instrument's; more are bracketed as an ensemble's
static void
draw_group(Engraving* const e, const System* const system)
{
  double top    = 0.0;
  double bottom = 0.0;
  system_extent(e, system, &top, &bottom);
  if (e->n_staves < 2) {
    return;
  }

  draw_vertical(e, system, system->x + BAR_LINE_THICKNESS, BAR_LINE_THICKNESS);
  if (e->n_staves == 2) {
    draw_stretched(e, system->page, GLYPH_BRACE,
                   (Box){system->x - 1.75, top, system->x - 0.3, bottom});
    return;
  }
  const double x = system->x - 1.0;
  draw_rule(e, system->page, (Box){x, top - 0.45, x + THICK, bottom + 0.45}, INK_MAIN, QF_NO_NOTE);
  draw_shape(e, system->page, SHAPE_BRACKET_TOP, x, top - 0.45, 1.0, QF_NO_NOTE);
  draw_shape(e, system->page, SHAPE_BRACKET_BOTTOM, x, bottom + 0.45, 1.0, QF_NO_NOTE);
}

static void
draw_names(Engraving* const e, const System* const system)
{
  for (size_t s = 0; s < e->n_staves && system->first_bar == 0 && e->name_width > 0.0; ++s) {
    draw_text(e, system->page, qf_score_get_staff(e->score, s)->name, TEXT_PLAIN, NAME_SIZE,
              system->x - 2.4, engrave_staff_y(system, s) + STAFF_HEIGHT / 2.0 + 0.7, ALIGN_END);
  }
}

/// Over the first staff, and over what reaches out of it on either side of a bar line
static double
number_height(const Engraving* const e, const System* const system, const size_t bar)
{
  const size_t first = e->bars[bar].first_column;
  double       top   = -0.9;
  for (size_t c = first ? first - 1 : first; c <= first && bar > system->first_bar; ++c) {
    const Cell* const cell = &e->cells[c * e->n_staves];
    top                    = cell->is_used ? fmin(top, cell->top) : top;
  }
  return engrave_staff_y(system, 0) + top - 0.6;
}

/// At the start of each printed system, and over every bar of an endless one
static void
draw_numbers(Engraving* const e, const System* const system)
{
  const size_t n = e->line_width > 0.0 ? 1 : system->n_bars;
  for (size_t i = 0; i < n; ++i) {
    const size_t       b   = system->first_bar + i;
    const QfBar* const bar = qf_score_get_bar(e->score, b);
    char               text[16];
    snprintf(text, sizeof(text), "%d%.1s", bar->number, bar->suffix ? &bar->suffix : "");
    if (bar->number > 1) {
      const double x = i ? e->bars[b].x : system->x + 0.2;
      draw_text(e, system->page, text, TEXT_ITALIC, NUMBER_SIZE, x, number_height(e, system, b),
                i ? ALIGN_MIDDLE : ALIGN_START);
    }
  }
}

void
engrave_draw_frame(Engraving* const e, const System* const system)
{
  draw_staff_lines(e, system);
  draw_group(e, system);
  draw_names(e, system);
  draw_numbers(e, system);
  const double header = draw_header(e, system);
  const size_t end    = system->first_bar + system->n_bars;
  for (size_t b = system->first_bar; b < end; ++b) {
    const bool is_first = b == system->first_bar;
    double     x        = is_first ? header - HEADER_PAD + 0.5 : e->bars[b].x;
    if (!is_first) {
      x = draw_change(e, system, b, x);
      x += x > e->bars[b].x ? 0.5 : -THICK;
    }
    if (qf_score_get_bar(e->score, b)->starts_repeat) {
      draw_repeat_start(e, system, x);
    }
    draw_bar_end(e, system, b);
  }
  if (end < e->n_bars) {
    draw_change(e, system, end, e->bars[end - 1].x_end);
  }
}
