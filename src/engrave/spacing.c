// SPDX-License-Identifier: MIT
#include "spacing.h"
#include "signature.h"

#include <math.h>
#include <stdlib.h>

#define QUARTER_WIDTH 4.0
#define WIDENING 1.45 ///< Factor of width for twice the duration
#define COLUMN_PAD 0.45
#define BAR_PAD 0.9 ///< Between a bar line and the ink after it
#define TAIL_PAD 0.7
#define TEXT_PAD 0.9
#define SHORTEST_BAR 5.0
#define TEXT_OVER_BAR_LINE 1.0 ///< How far a bar's last text may reach under the next bar
#define HEAD_WIDTH 1.2

static double
natural_width(const double duration)
{
  return QUARTER_WIDTH * pow(WIDENING, log2(duration * 4.0));
}

static void
widen(Cell* const  cell,
      const double left,
      const double right,
      const double top,
      const double bottom)
{
  cell->left    = fmax(cell->left, -left);
  cell->right   = fmax(cell->right, right);
  cell->top     = cell->is_used ? fmin(cell->top, top) : top;
  cell->bottom  = cell->is_used ? fmax(cell->bottom, bottom) : bottom;
  cell->is_used = true;
}

static void
measure_note(const Engraving* const e, const Mark* const mark, Cell* const cell)
{
  const double y      = engrave_y_of(mark->position);
  const double right  = mark->dx + engrave_head_width(e, mark->symbol.value);
  const bool   ledger = mark->position > TOP_POSITION + 1 || mark->position < -1;
  const double ledge  = ledger ? 0.3 : 0.0;
  widen(cell, mark->dx - ledge, right + ledge, y - 0.5, y + 0.5);
  if (mark->accidental) {
    const bool courtesy = mark->accidental == QF_ACCIDENTAL_COURTESY;
    const Box  box      = engrave_accidental_box(mark->alter, courtesy);
    widen(cell, mark->accidental_dx, right, y + box.top, y + box.bottom);
  }
  if (mark->symbol.dots) {
    widen(cell, 0.0, mark->dot_dx + 0.65 * mark->symbol.dots - 0.2, y - 0.5, y + 0.5);
  }
  if (mark->stem) {
    const double slack = mark->beam != NO_INDEX ? 0.8 : 0.0;
    const double end   = mark->stem_end - mark->stem * slack;
    widen(cell, 0.0, right, fmin(y, end), fmax(y, end));
  }
  if (mark->stem > 0 && mark->symbol.value > 2 && mark->beam == NO_INDEX) {
    widen(cell, 0.0, right + 0.8, y, y);
  }
  const double room = engrave_room_of(mark->sign);
  widen(cell, mark->dx - room, right + room, y - 0.5 - room, y + 0.5 + room);
}

double
engrave_rest_width(const Engraving* const e, const QfSymbol* const symbol)
{
  if (symbol->value < 2) {
    return 1.2;
  }
  const int last  = GLYPH_REST_128 - GLYPH_REST_4;
  const int index = symbol->value - 2 < last ? symbol->value - 2 : last;
  const Box box   = e->fonts.boxes[GLYPH_REST_4 + index];
  return box.right - box.left;
}

static void
measure_rest(const Engraving* const e, const Mark* const mark, Cell* const cell)
{
  const double y     = engrave_y_of(mark->position);
  const double dots  = mark->symbol.dots ? 0.35 + 0.65 * mark->symbol.dots : 0.0;
  const double right = engrave_rest_width(e, &mark->symbol) + dots;
  const double half  = mark->symbol.value < 2 ? 0.6 : 1.6;
  widen(cell, 0.0, mark->symbol.is_whole_bar ? 0.0 : right, y - half, y + half);
}

void
engrave_measure_cells(Engraving* const e)
{
  for (size_t i = 0; i < e->n_marks; ++i) {
    const Mark* const mark = &e->marks[i];
    Cell* const       cell = &e->cells[mark->column * e->n_staves + mark->staff];
    if (!mark->is_shown || mark->shares_head) {
      if (engrave_is_inked(mark) && mark->stem) {
        widen(cell, 0.0, 0.0, fmin(mark->stem_end, 2.0), fmax(mark->stem_end, 2.0));
      }
    } else if (engrave_is_note(mark)) {
      measure_note(e, mark, cell);
    } else {
      measure_rest(e, mark, cell);
    }
  }
}

static double
left_ink(const Engraving* const e, const size_t column)
{
  double left = 0.0;
  for (size_t s = 0; s < e->n_staves; ++s) {
    left = fmax(left, e->cells[column * e->n_staves + s].left);
  }
  return left;
}

static double
right_ink(const Engraving* const e, const size_t column)
{
  double right = 0.0;
  for (size_t s = 0; s < e->n_staves; ++s) {
    right = fmax(right, e->cells[column * e->n_staves + s].right);
  }
  return right;
}

static void
measure_leads(Engraving* const e)
{
  for (size_t b = 0; b < e->n_bars; ++b) {
    BarBox* const      box    = &e->bars[b];
    const QfBar* const bar    = qf_score_get_bar(e->score, b);
    const double       left   = left_ink(e, box->first_column);
    const double       repeat = bar->starts_repeat ? 1.1 : 0.0;
    const bool         turns  = b && box->cancelled != box->fifths;
    double             change = 0.0;
    if (turns) {
      change += SIGNATURE_PAD + engrave_signature_width(box->cancelled, box->fifths);
    }
    if (b && box->shows_metre) {
      change += METRE_PAD + engrave_metre_width(e, e->metres[b]);
    }
    const double pad = fmax(BAR_PAD, left + 0.4);
    box->lead        = repeat + change + (change > 0.0 ? left + HEADER_PAD : pad);
    box->lead_first  = repeat + left;
  }
}

/// Width by duration: the shortest symbol that sounds sets the scale
static void
measure_naturals(Engraving* const e)
{
  const double room    = e->options.writing_room;
  const bool   by_hand = room > 0.0;
  QfTime       ends[MAX_LINES];
  QfTime       lengths[MAX_LINES];
  for (size_t v = 0; v < e->n_voices; ++v) {
    ends[v]    = QF_TIME_ZERO;
    lengths[v] = QF_TIME_ZERO;
  }

  for (size_t c = 0; c < e->n_columns; ++c) {
    Column* const column = &e->columns[c];
    const BarBox* bar    = &e->bars[column->bar];
    const bool    last   = c + 1 == bar->first_column + bar->n_columns;
    const QfTime  next   = last ? bar->end : e->columns[c + 1].time;
    const QfTime  rest   = qf_time_sub(next, column->time);
    const QfTime  delta  = rest.num > 0 ? rest : qf_time(1, 16); // Of an answer, behind the end
    QfTime        least  = qf_time_sub(bar->end, bar->start);
    for (size_t i = 0; i < column->n_marks; ++i) {
      const Mark* const mark = &e->marks[e->by_column[column->first_mark + i]];
      ends[mark->voice]      = qf_time_add(mark->symbol.start, mark->symbol.duration);
      lengths[mark->voice]   = mark->symbol.duration;
    }
    for (size_t v = 0; v < e->n_voices; ++v) {
      if (qf_time_compare(ends[v], column->time) > 0) {
        least = qf_time_min(least, lengths[v]);
      }
    }
    const double d  = qf_time_to_double(delta);
    const double s  = fmax(qf_time_to_double(least), d);
    column->natural = by_hand ? QUARTER_WIDTH * room * 4.0 * d : natural_width(s) * d / s;
    if (bar->n_columns == 1) {
      column->natural = fmax(column->natural, SHORTEST_BAR);
    }
  }
}

double
spacing_gap(const Column* const column, const double stretch)
{
  return fmax(column->rod, column->natural * stretch);
}

static bool
is_last_in_bar(const Engraving* const e, const size_t c)
{
  const BarBox* const bar = &e->bars[e->columns[c].bar];
  return c + 1 == bar->first_column + bar->n_columns;
}

/// How far ink reaches to the right: each staff is a lane, each row of text another
typedef struct {
  double staves[QF_MAX_STAVES];
  double rows[N_ROWS];
  size_t next_tag[N_ROWS];
} Lanes;

static bool
has_tag(const Engraving* const e, const Lanes* const lanes, const size_t row, const size_t column)
{
  return lanes->next_tag[row] < e->first_tag[row + 1] &&
         e->tags[lanes->next_tag[row]].column == column;
}

/// Where a column may stand at the earliest without touching what is before it
static double
earliest_place(const Engraving* const e, const Lanes* const lanes, const size_t c)
{
  double x = -INFINITY;
  for (size_t s = 0; s < e->n_staves; ++s) {
    x = fmax(x, lanes->staves[s] + COLUMN_PAD + e->cells[c * e->n_staves + s].left);
  }
  for (size_t r = 0; r < N_ROWS; ++r) {
    if (has_tag(e, lanes, r, c)) {
      const Tag* const tag = &e->tags[lanes->next_tag[r]];
      x = fmax(x, lanes->rows[r] + TEXT_PAD - tag->dx + engrave_room_of(tag->sign));
    }
  }
  return x;
}

/// Take a column into the lanes; returns how far its texts reach beyond it
static double
extend_lanes(const Engraving* const e, Lanes* const lanes, const size_t c, const double x)
{
  double reach = 0.0;
  for (size_t s = 0; s < e->n_staves; ++s) {
    const Cell* const cell = &e->cells[c * e->n_staves + s];
    lanes->staves[s] = cell->is_used ? fmax(lanes->staves[s], x + cell->right) : lanes->staves[s];
  }
  for (size_t r = 0; r < N_ROWS; ++r) {
    for (; has_tag(e, lanes, r, c); ++lanes->next_tag[r]) {
      const Tag* const tag = &e->tags[lanes->next_tag[r]];
      lanes->rows[r]       = x + tag->dx + tag->width + engrave_room_of(tag->sign);
      reach                = fmax(reach, tag->dx + tag->width);
    }
  }
  return reach;
}

/// The least widths, found by setting the columns one after the other as tightly as may be
static void
measure_rods(Engraving* const e)
{
  Lanes  lanes;
  double x = 0.0;
  for (size_t s = 0; s < QF_MAX_STAVES; ++s) {
    lanes.staves[s] = -INFINITY;
  }
  for (size_t r = 0; r < N_ROWS; ++r) {
    lanes.rows[r]     = -INFINITY;
    lanes.next_tag[r] = e->first_tag[r];
  }

  for (size_t c = 0; c < e->n_columns; ++c) {
    Column* const column = &e->columns[c];
    const double  need   = earliest_place(e, &lanes, c);
    if (c && need > x) {
      column[-1].rod = spacing_gap(&column[-1], SPACING_TIGHTEST) + need - x;
      x              = need;
    }

    const double text  = extend_lanes(e, &lanes, c, x);
    const double right = right_ink(e, c);
    column->rod        = right > 0.0 ? HEAD_WIDTH + COLUMN_PAD : 1.0;
    if (is_last_in_bar(e, c)) {
      column->rod = fmax(column->rod, fmax(right + TAIL_PAD, text - TEXT_OVER_BAR_LINE));
      x += column->bar + 1 < e->n_bars ? e->bars[column->bar + 1].lead : 0.0;
    }
    x += spacing_gap(column, SPACING_TIGHTEST);
  }
}

/// Spread a link at least so far, all gaps within it alike
static void
spread_columns(Engraving* const e, const size_t from, const size_t to, const double least)
{
  double width = 0.0;
  double fixed = 0.0;
  for (size_t c = from; c < to; ++c) {
    width += spacing_gap(&e->columns[c], 1.0);
    fixed +=
      c + 1 < e->n_columns && is_last_in_bar(e, c) ? e->bars[e->columns[c].bar + 1].lead : 0.0;
  }

  const double factor = width > 0.0 ? (least - fixed) / width : 0.0;
  for (size_t c = from; factor > 1.0 && c < to; ++c) {
    e->columns[c].rod = spacing_gap(&e->columns[c], 1.0) * factor;
  }
}

static void
spread_links(Engraving* const e, const double least)
{
  const size_t n_links = e->labels ? qf_labels_n_links(e->labels) : 0;
  for (size_t i = 0; i < n_links; ++i) {
    const bool   is_last = i + 1 == n_links;
    const size_t from    = engrave_column_at(e, qf_labels_get_link(e->labels, i)->start);
    const size_t to =
      is_last ? e->n_columns : engrave_column_at(e, qf_labels_get_link(e->labels, i + 1)->start);
    spread_columns(e, from, to, least);
  }
}

void
engrave_space(Engraving* const e)
{
  measure_leads(e);
  measure_naturals(e);
  measure_rods(e);
  if (e->options.min_link_width > 0.0) {
    spread_links(e, e->options.min_link_width / e->options.space);
  }
}
