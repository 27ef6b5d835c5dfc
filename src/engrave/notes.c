// SPDX-License-Identifier: MIT
#include "drawing.h"
#include "spacing.h"

#include <math.h>

#define LEDGER_THICKNESS 0.15
#define LEDGER_OVERHANG 0.36
#define DOT_STEP 0.65
#define FINE_STEM 0.08 ///< Of a head that is an outline
#define RING_GAP 0.4   ///< Between a head and the ring around it
#define RING_THICKNESS 0.16
#define STRIKE_THICKNESS 0.2

static void
keep_head(Engraving* const e, const size_t page, const Mark* const mark, const Box box)
{
  if (!engrave_reserve(e, (void**)&e->heads, &e->max_heads, e->n_heads, sizeof(HeadBox))) {
    return;
  }
  e->heads[e->n_heads++] = (HeadBox){mark->symbol.note, page, box, mark->is_struck};
}

/// A head drawn for two voices: the upper half is the upper voice's, the lower the lower one's
static Box
own_half(const Engraving* const e, const Mark* const mark, const Box box)
{
  const Column* const column = &e->columns[mark->column];
  const double        middle = (box.top + box.bottom) / 2.0;
  if (mark->shares_head) {
    return (Box){box.left, middle, box.right, box.bottom};
  }
  for (size_t i = 0; i < column->n_marks; ++i) {
    const Mark* const other = &e->marks[e->by_column[column->first_mark + i]];
    if (other->shares_head && other->staff == mark->staff && engrave_is_note(other) &&
        other->position == mark->position && other->dx == mark->dx) {
      return (Box){box.left, box.top, box.right, middle};
    }
  }
  return box;
}

static void
draw_ledgers(Engraving* const    e,
             const System* const system,
             const Mark* const   mark,
             const double        left,
             const double        width)
{
  const double staff = engrave_staff_y(system, mark->staff);
  const int    step  = mark->position > TOP_POSITION ? 2 : -2;
  const int    first = step > 0 ? TOP_POSITION + 2 : -2;
  for (int p = first; step * p <= step * mark->position; p += step) {
    const double y = staff + engrave_y_of(p);
    draw_rule(e, system->page,
              (Box){left - LEDGER_OVERHANG, y - LEDGER_THICKNESS / 2.0,
                    left + width + LEDGER_OVERHANG, y + LEDGER_THICKNESS / 2.0},
              INK_MAIN, QF_NO_NOTE);
  }
}

static void
draw_dots(Engraving* const e, const System* const system, const Mark* const mark, const double x)
{
  const double y = engrave_staff_y(system, mark->staff) + engrave_y_of(mark->dot_position);
  for (int i = 0; i < mark->symbol.dots; ++i) {
    draw_shape(e, system->page, SHAPE_DOT, x + i * DOT_STEP, y, 1.0, mark->symbol.note);
  }
}

static void
draw_flag(Engraving* const    e,
          const System* const system,
          const Mark* const   mark,
          const double        x,
          const double        end)
{
  const int   n     = mark->symbol.value - 3;
  const int   most  = GLYPH_FLAG_5 - GLYPH_FLAG_1;
  const Glyph glyph = (Glyph)(GLYPH_FLAG_1 + (n < most ? n : most));
  const Box   box   = e->fonts.boxes[glyph];
  // The flag's ink begins at the stem's left edge, its outer end at the stem's
  if (mark->stem > 0) {
    draw_glyph(e, system->page, glyph, x - STEM_THICKNESS / 2.0, end - box.top, mark->symbol.note);
  } else {
    draw_flipped(e, system->page, glyph, x - STEM_THICKNESS / 2.0, end + box.top,
                 mark->symbol.note);
  }
}

/// Stems leave a slanted head a little off its middle
static void
draw_stem(Engraving* const e, const System* const system, const Mark* const mark)
{
  const double staff   = engrave_staff_y(system, mark->staff);
  const double x       = engrave_stem_x(e, mark);
  const double from    = staff + engrave_y_of(mark->position) - mark->stem * 0.18;
  const double end     = staff + mark->stem_end;
  const bool   is_fine = mark->sign == SIGN_OUTLINE || mark->sign == SIGN_DASHES;
  const double half    = (is_fine ? FINE_STEM : STEM_THICKNESS) / 2.0;
  draw_rule(e, system->page, (Box){x - half, fmin(from, end), x + half, fmax(from, end)}, INK_MAIN,
            mark->symbol.note);
  if (mark->symbol.value > 2 && mark->beam == NO_INDEX) {
    draw_flag(e, system, mark, x, end);
  }
}

Ink
engrave_ink_of(const Sign sign)
{
  static const Ink inks[] = {
    [SIGN_NONE] = INK_MAIN,     [SIGN_QUIET] = INK_QUIET,  [SIGN_RING] = INK_DIFFERS,
    [SIGN_OUTLINE] = INK_QUIET, [SIGN_DASHES] = INK_QUIET, [SIGN_STRIKE] = INK_DIFFERS,
  };
  return inks[sign];
}

double
engrave_room_of(const Sign sign)
{
  return sign == SIGN_RING || sign == SIGN_DASHES || sign == SIGN_STRIKE ? RING_GAP : 0.0;
}

void
engrave_draw_head(Engraving* const  e,
                  const size_t      page,
                  const Mark* const mark,
                  const double      x,
                  const double      y)
{
  const Glyph  glyph    = engrave_head_glyph(mark->symbol.value);
  const Box    ink      = e->fonts.boxes[glyph];
  const double baseline = y - (ink.top + ink.bottom) / 2.0;
  const double right    = x + engrave_head_width(e, mark->symbol.value);
  const Box    ring     = {x - RING_GAP, y - 0.5 - RING_GAP, right + RING_GAP, y + 0.5 + RING_GAP};
  e->pen                = engrave_ink_of(mark->sign);
  if (mark->sign == SIGN_OUTLINE || mark->sign == SIGN_DASHES) {
    draw_outline(e, page, glyph, x, baseline, mark->symbol.note);
  } else {
    draw_glyph(e, page, glyph, x, baseline, mark->symbol.note);
  }

  if (mark->sign == SIGN_RING) {
    draw_ring(e, page, ring, RING_THICKNESS, false);
  } else if (mark->sign == SIGN_DASHES) {
    e->pen = INK_DIFFERS;
    draw_ring(e, page, ring, RING_THICKNESS, true);
    e->pen = engrave_ink_of(mark->sign);
  } else if (mark->sign == SIGN_STRIKE) {
    draw_line(e, page, ring.left, ring.bottom, ring.right, ring.top, STRIKE_THICKNESS);
  }
}

static void
draw_note(Engraving* const e, const System* const system, const Mark* const mark)
{
  const double column = e->columns[mark->column].x;
  const double left   = column + mark->dx;
  const double width  = engrave_head_width(e, mark->symbol.value);
  const double y      = engrave_staff_y(system, mark->staff) + engrave_y_of(mark->position);
  const Box    box    = {left, y - 0.5, left + width, y + 0.5};
  keep_head(e, system->page, mark, own_half(e, mark, box));
  e->pen = engrave_ink_of(mark->sign);
  if (mark->stem) {
    draw_stem(e, system, mark);
  }
  if (mark->shares_head) {
    return;
  }

  draw_ledgers(e, system, mark, left, width);
  engrave_draw_head(e, system->page, mark, left, y);
  if (mark->accidental) {
    draw_accidental(e, system->page, mark->alter, mark->accidental == QF_ACCIDENTAL_COURTESY,
                    column + mark->accidental_dx, y, mark->symbol.note);
  }
  draw_dots(e, system, mark, column + mark->dot_dx);
}

/// Breve, whole and half rests are blocks on a line; out of the staff they bring their line along
static void
draw_block_rest(Engraving* const    e,
                const System* const system,
                const Mark* const   mark,
                const double        x)
{
  const double staff  = engrave_staff_y(system, mark->staff);
  const int    value  = mark->symbol.value;
  const int    line   = value == 1 ? mark->position : mark->position + 2;
  const double y      = staff + engrave_y_of(line);
  const double top    = value == 1 ? y - 0.55 : y;
  const double bottom = value == 1 ? y : value == 0 ? y + 0.55 : y + 1.0;
  draw_rule(e, system->page, (Box){x, top, x + 1.2, bottom}, INK_MAIN, QF_NO_NOTE);
  if (line > TOP_POSITION || line < 0) {
    const double half = LEDGER_THICKNESS / 2.0;
    draw_rule(e, system->page, (Box){x - 0.4, y - half, x + 1.6, y + half}, INK_MAIN, QF_NO_NOTE);
  }
}

/// A whole bar's rest stands in the middle of what the bar leaves for notes
static double
whole_bar_x(const Engraving* const e, const Mark* const mark, const double width)
{
  const BarBox* const bar      = &e->bars[e->columns[mark->column].bar];
  const double        start    = e->columns[mark->column].x;
  const bool          is_plain = start - bar->x < 2.0;
  const bool          is_last  = bar + 1 == e->bars + e->n_bars;
  const double        left     = is_plain ? bar->x : start - 0.8;
  const double        right    = bar->x_end - (is_last ? 1.0 : 0.0);
  return (left + right - width) / 2.0;
}

static void
draw_rest(Engraving* const e, const System* const system, const Mark* const mark)
{
  const double staff = engrave_staff_y(system, mark->staff);
  const double width = engrave_rest_width(e, &mark->symbol);
  const double x =
    mark->symbol.is_whole_bar ? whole_bar_x(e, mark, width) : e->columns[mark->column].x;
  if (mark->symbol.value < 2) {
    draw_block_rest(e, system, mark, x);
  } else {
    const int    most  = GLYPH_REST_128 - GLYPH_REST_4;
    const int    index = mark->symbol.value - 2 < most ? mark->symbol.value - 2 : most;
    const double base  = staff + STAFF_HEIGHT + (MIDDLE_POSITION - mark->position) / 2.0;
    draw_glyph(e, system->page, (Glyph)(GLYPH_REST_4 + index), x, base, QF_NO_NOTE);
  }

  const double y = staff + engrave_y_of(mark->position + 1);
  for (int i = 0; i < mark->symbol.dots; ++i) {
    draw_shape(e, system->page, SHAPE_DOT, x + width + 0.3 + i * DOT_STEP, y, 1.0, QF_NO_NOTE);
  }
}

void
engrave_draw_marks(Engraving* const e, const System* const system)
{
  const BarBox* const last = &e->bars[system->first_bar + system->n_bars - 1];
  const size_t        end  = last->first_column + last->n_columns;
  for (size_t c = e->bars[system->first_bar].first_column; c < end; ++c) {
    const Column* const column = &e->columns[c];
    for (size_t i = 0; i < column->n_marks; ++i) {
      const Mark* const mark = &e->marks[e->by_column[column->first_mark + i]];
      if (engrave_is_inked(mark)) {
        draw_note(e, system, mark);
        e->pen = INK_MAIN;
      } else if (mark->is_shown && !engrave_is_note(mark) && !mark->shares_head) {
        draw_rest(e, system, mark);
      }
    }
  }
}
