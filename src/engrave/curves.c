// SPDX-License-Identifier: MIT
#include "drawing.h"
#include "spacing.h"

#include <math.h>

#define TUPLET_SIZE 1.7

static const System*
system_of(const Engraving* const e, const Mark* const mark)
{
  return &e->systems[e->bars[e->columns[mark->column].bar].system];
}

/// Upwards (1) over upper voices and over heads with their stems down. Rule: common practice.
static int
tie_side(const Mark* const mark)
{
  if (mark->side) {
    return mark->side;
  }
  if (mark->stem) {
    return -mark->stem;
  }
  return mark->position >= MIDDLE_POSITION ? 1 : -1;
}

/// Where a tie leaves or meets a head: beside it where a stem is in the way, otherwise over it
static double
tie_x(const Engraving* const e, const Mark* const mark, const bool is_start, const int side)
{
  const double left  = e->columns[mark->column].x + mark->dx;
  const double width = engrave_head_width(e, mark->symbol.value);
  if (is_start) {
    const bool stem_in_way = mark->stem > 0 && side > 0;
    return stem_in_way ? left + width + 0.12 : left + width * 0.72;
  }
  const bool stem_in_way = mark->stem < 0 && side < 0;
  return stem_in_way ? left - 0.12 : left + width * 0.28;
}

static double
tie_y(const System* const system, const Mark* const mark, const int side, const bool beside)
{
  const double y = engrave_staff_y(system, mark->staff) + engrave_y_of(mark->position);
  return y - side * (beside ? 0.45 : 0.68);
}

static double
tie_height(const double length)
{
  return fmax(0.35, fmin(1.1, 0.30 + 0.07 * length));
}

static void
draw_one_tie(Engraving* const e, const Mark* const from, const Mark* const to)
{
  const int     side   = tie_side(from);
  const System* start  = system_of(e, from);
  const System* finish = system_of(e, to);
  const bool    beside = (from->stem > 0 && side > 0) || (to->stem < 0 && side < 0);
  const double  x      = tie_x(e, from, true, side);
  const double  x2     = tie_x(e, to, false, side);
  const double  y      = tie_y(start, from, side, beside);
  if (start == finish) {
    draw_tie(e, start->page, x, y, x2, y, side * tie_height(x2 - x), from->symbol.note);
    return;
  }

  // Over a system's end: one half here, the other at the head of the next
  const BarBox* const bar    = &e->bars[start->first_bar + start->n_bars - 1];
  const double        right  = fmax(bar->x_end - 0.2, x + 1.0);
  const double        begin  = fmin(finish->x + finish->header - 1.0, x2 - 1.2);
  const double        y_next = tie_y(finish, to, side, beside);
  draw_tie(e, start->page, x, y, right, y, side * tie_height(right - x), from->symbol.note);
  draw_tie(e, finish->page, begin, y_next, x2, y_next, side * tie_height(x2 - begin),
           to->symbol.note);
}

void
engrave_draw_ties(Engraving* const e)
{
  for (size_t v = 0; v < e->n_voices; ++v) {
    for (size_t i = e->first_mark[v]; i + 1 < e->first_mark[v + 1]; ++i) {
      const Mark* const mark = &e->marks[i];
      if (mark->symbol.is_tied && engrave_is_inked(mark)) {
        e->pen = engrave_ink_of(mark->sign);
        draw_one_tie(e, mark, mark + 1);
        e->pen = INK_MAIN;
      }
    }
  }
}

static bool
is_power_of_two(const int64_t n)
{
  return n > 0 && (n & (n - 1)) == 0;
}

/// Marks from `first` on that fill a plain value together, such as three triplet quavers
static size_t
tuplet_length(const Engraving* const e, const size_t first, const size_t end)
{
  const uint8_t tuplet = e->marks[first].symbol.tuplet;
  QfTime        sum    = QF_TIME_ZERO;
  for (size_t i = first; i < end && e->marks[i].symbol.tuplet == tuplet; ++i) {
    sum = qf_time_add(sum, e->marks[i].symbol.duration);
    if (is_power_of_two(sum.den)) {
      return i - first + 1;
    }
  }
  return 0;
}

static bool
is_all_shown(const Mark* const marks, const size_t n)
{
  for (size_t i = 0; i < n; ++i) {
    if (!marks[i].is_shown) {
      return false;
    }
  }
  return true;
}

/// A bracket unless one beam holds the group together already
static void
draw_tuplet(Engraving* const e, const System* const system, const Mark* const marks, const size_t n)
{
  const double staff = engrave_staff_y(system, marks->staff);
  int          side  = marks->side;
  bool         one   = marks->beam != NO_INDEX;
  for (size_t i = 0; i < n; ++i) {
    side = side ? side : marks[i].stem;
    one  = one && marks[i].beam == marks->beam;
  }
  side = side ? side : 1;

  double edge = side > 0 ? -0.3 : STAFF_HEIGHT + 0.3;
  for (size_t i = 0; i < n; ++i) {
    const double y   = engrave_y_of(marks[i].position) - side * 0.5;
    const double end = marks[i].stem == side ? marks[i].stem_end : y;
    edge             = side > 0 ? fmin(edge, fmin(y, end)) : fmax(edge, fmax(y, end));
  }

  const Mark* const last   = &marks[n - 1];
  const double      x      = e->columns[marks->column].x + marks->dx;
  const double      x2     = e->columns[last->column].x + last->dx + 1.2;
  const double      y      = staff + edge - side * 1.1;
  const char        text[] = {(char)('0' + marks->symbol.tuplet % 10), '\0'};
  draw_text(e, system->page, text, TEXT_ITALIC, TUPLET_SIZE, (x + x2) / 2.0, y + 0.6, ALIGN_MIDDLE);
  if (!one) {
    const double gap = 0.9;
    draw_line(e, system->page, x, y, x, y + side * 0.7, 0.12);
    draw_line(e, system->page, x, y, (x + x2) / 2.0 - gap, y, 0.12);
    draw_line(e, system->page, (x + x2) / 2.0 + gap, y, x2, y, 0.12);
    draw_line(e, system->page, x2, y, x2, y + side * 0.7, 0.12);
  }
}

void
engrave_draw_tuplets(Engraving* const e)
{
  for (size_t v = 0; v < e->n_voices; ++v) {
    for (size_t i = e->first_mark[v]; i < e->first_mark[v + 1]; ++i) {
      const size_t n = e->marks[i].symbol.tuplet ? tuplet_length(e, i, e->first_mark[v + 1]) : 0;
      if (n > 1 && is_all_shown(&e->marks[i], n)) {
        draw_tuplet(e, system_of(e, &e->marks[i]), &e->marks[i], n);
      }
      i += n > 1 ? n - 1 : 0;
    }
  }
}

/// Beams below the first: a run of marks that have as many, or a stub towards the group's inside
static void
draw_level(Engraving* const e, const System* const system, const Beam* const beam, const int level)
{
  const Mark* const marks = &e->marks[beam->first];
  const double      staff = engrave_staff_y(system, marks->staff);
  const double      step  = marks->stem * level * BEAM_STEP;
  for (size_t i = 0; i < beam->n; ++i) {
    if (marks[i].symbol.value - 3 < level) {
      continue;
    }
    size_t last = i;
    while (last + 1 < beam->n && marks[last + 1].symbol.value - 3 >= level) {
      ++last;
    }

    double x  = engrave_stem_x(e, &marks[i]);
    double x2 = engrave_stem_x(e, &marks[last]);
    double y  = marks[i].stem_end;
    double y2 = marks[last].stem_end;
    if (last == i) {
      const Mark* const other = i ? &marks[i - 1] : &marks[i + 1];
      const double      span  = engrave_stem_x(e, other) - x;
      const double      part  = fmin(0.5, 1.1 / fabs(span));
      x2                      = x + span * part;
      y2                      = y + (other->stem_end - y) * part;
    }
    const double top = staff + step - (marks->stem < 0 ? BEAM_THICKNESS : 0.0);
    if (x2 < x) {
      draw_beam(e, system->page, x2 - 0.06, top + y2, x + 0.06, top + y, QF_NO_NOTE);
    } else {
      draw_beam(e, system->page, x - 0.06, top + y, x2 + 0.06, top + y2, QF_NO_NOTE);
    }
    i = last;
  }
}

void
engrave_draw_beams(Engraving* const e)
{
  for (size_t b = 0; b < e->n_beams; ++b) {
    const Beam* const beam = &e->beams[b];
    int               most = 0;
    for (size_t i = 0; i < beam->n; ++i) {
      const int level = e->marks[beam->first + i].symbol.value - 3;
      most            = level > most ? level : most;
    }
    const System* const system = system_of(e, &e->marks[beam->first]);
    for (int level = 0; level <= most; ++level) {
      draw_level(e, system, beam, level);
    }
  }
}
