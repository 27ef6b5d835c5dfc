// SPDX-License-Identifier: MIT
#include "signature.h"
#include "spacing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define BRACE_ROOM 2.2
#define STAFF_GAP 5.8        ///< Between two staves, where nothing needs more
#define OPEN_STAFF_GAP 5.4   ///< In an open score
#define CLEARANCE 1.2        ///< Between the ink of two staves
#define ROW_GAP 1.1          ///< Above the first row of text
#define RHYTHM_HEIGHT 3.6    ///< Of a row of note values
#define WRITTEN_HEIGHT 4.5   ///< Of a row to write in: 9 mm on a worksheet
#define WORKSHEET_HEADER 8.6 ///< Room for a bar's number and the name of a voice
#define SYSTEM_GAP 5.0
#define MOST_SYSTEM_STRETCH 0.8 ///< Of the gap between systems
#define SCREEN_ROOM 5.0         ///< Above and below an endless system, so that it seldom moves
#define LAST_LINE_FULL 0.72

static double
row_height(const Engraving* const e, const System* const system, const size_t row)
{
  static const double heights[N_ROWS] = {
    [ROW_SYMBOLS] = 3.0,         [ROW_THEIR_QUALITIES] = 2.6, [ROW_ASKED_QUALITIES] = 2.6,
    [ROW_SOLFEGE] = 2.6,         [ROW_FIGURES] = 1.4,         [ROW_DEGREES] = 3.0,
    [ROW_NUMERALS] = 3.8,        [ROW_THEIR_NUMERALS] = 3.8,  [ROW_KEYS] = 2.7,
    [ROW_QUALITY_NUMBERS] = 2.2, [ROW_NOTE_NUMBERS] = 2.2,    [ROW_NUMERAL_NUMBERS] = 2.2,
  };
  if (engrave_is_filled_in(e, row)) {
    return row <= ROW_RHYTHM_LAST ? RHYTHM_HEIGHT : WRITTEN_HEIGHT;
  }
  return heights[row] + (row == ROW_FIGURES ? 1.9 * (double)system->figure_lines : 0.0);
}

/// From a row's top to its baseline, where its first line of text stands
static double
row_rise(const Engraving* const e, const size_t row)
{
  if (engrave_is_filled_in(e, row)) {
    return row <= ROW_RHYTHM_LAST ? RHYTHM_HEIGHT - 0.8 : WRITTEN_HEIGHT - 1.0;
  }
  return row == ROW_NUMERALS || row == ROW_THEIR_NUMERALS ? 2.4 : row == ROW_DEGREES ? 2.2 : 1.7;
}

static double
indent(const Engraving* const e, const size_t first_bar)
{
  return (e->n_staves > 1 ? BRACE_ROOM : 0.0) + (first_bar ? 0.0 : e->name_width);
}

double
engrave_header_width(const Engraving* const e, const size_t bar, const bool shows_metre)
{
  double clef = 0.0;
  for (size_t s = 0; s < e->n_staves; ++s) {
    clef = fmax(clef, engrave_clef_width(e, e->clefs[s]));
  }
  const double signature = engrave_signature_width(0, e->bars[bar].fifths);
  const double metre     = shows_metre ? METRE_PAD + engrave_metre_width(e, e->metres[bar]) : 0.0;
  const double header =
    CLEF_PAD + clef + (signature > 0.0 ? SIGNATURE_PAD + signature : 0.0) + metre + HEADER_PAD;
  return e->options.blanks ? fmax(header, WORKSHEET_HEADER) : header;
}

double
engrave_warning_width(const Engraving* const e, const size_t next_bar)
{
  if (next_bar >= e->n_bars) {
    return 0.0;
  }
  const BarBox* const bar = &e->bars[next_bar];
  const double        signature =
    bar->cancelled != bar->fifths ? engrave_signature_width(bar->cancelled, bar->fifths) : 0.0;
  const double metre = bar->shows_metre ? engrave_metre_width(e, e->metres[next_bar]) : 0.0;
  return (signature > 0.0 ? SIGNATURE_PAD + signature : 0.0) +
         (metre > 0.0 ? METRE_PAD + metre : 0.0);
}

/// Widths of bars [first, first + n): what is fixed, and what stretches at a factor of 1
static void
line_widths(const Engraving* const e,
            const size_t           first,
            const size_t           n,
            double* const          fixed,
            double* const          flexible)
{
  *fixed = indent(e, first) + engrave_header_width(e, first, e->bars[first].shows_metre) +
           e->bars[first].lead_first + engrave_warning_width(e, first + n);
  *flexible = 0.0;
  for (size_t b = first; b < first + n; ++b) {
    *fixed += b > first ? e->bars[b].lead : 0.0;
    for (size_t c = 0; c < e->bars[b].n_columns; ++c) {
      *flexible += spacing_gap(&e->columns[e->bars[b].first_column + c], 1.0);
    }
  }
}

/// What the columns of a line take at a factor of their natural widths
static double
width_at(const Engraving* const e, const System* const system, const double stretch)
{
  double width = 0.0;
  for (size_t b = system->first_bar; b < system->first_bar + system->n_bars; ++b) {
    for (size_t c = 0; c < e->bars[b].n_columns; ++c) {
      width += spacing_gap(&e->columns[e->bars[b].first_column + c], stretch);
    }
  }
  return width;
}

/// How far a line is from its natural width; squeezing costs more than stretching
static double
line_cost(const Engraving* const e, const size_t first, const size_t n)
{
  double fixed    = 0.0;
  double flexible = 0.0;
  line_widths(e, first, n, &fixed, &flexible);
  const System line  = {.first_bar = first, .n_bars = n};
  const double room  = e->line_width - fixed;
  const double ratio = room / flexible;
  const bool   last  = first + n == e->n_bars;
  if (width_at(e, &line, SPACING_TIGHTEST) > room) {
    return n == 1 ? 1e3 : INFINITY;
  }
  if (ratio < 1.0) {
    return 4.0 * (1.0 - ratio) * (1.0 - ratio) + 0.02;
  }
  const double cost = fmin(4.0, (ratio - 1.0) * (ratio - 1.0));
  return (last ? 0.3 * cost : cost) + 0.02;
}

/// Break where the sum of the lines' costs is least
static QfStatus
choose_breaks(Engraving* const e)
{
  double* const costs  = (double*)malloc((e->n_bars + 1) * sizeof(double));
  size_t* const counts = (size_t*)calloc(e->n_bars + 1, sizeof(size_t));
  if (!costs || !counts) {
    free(costs);
    free(counts);
    return QF_ERR_NO_MEM;
  }

  costs[e->n_bars] = 0.0;
  for (size_t b = e->n_bars; b-- > 0;) {
    costs[b] = INFINITY;
    for (size_t n = 1; b + n <= e->n_bars; ++n) {
      const double own = line_cost(e, b, n);
      if (n > 1 && own == INFINITY) {
        break;
      }
      if (own + costs[b + n] < costs[b]) {
        costs[b]  = own + costs[b + n];
        counts[b] = n;
      }
    }
  }
  for (size_t b = 0; b < e->n_bars; b += counts[b]) {
    e->systems[e->n_systems++] = (System){.first_bar = b, .n_bars = counts[b]};
  }
  free(costs);
  free(counts);
  return QF_OK;
}

/// The factor that fills a line exactly; a short last line keeps its natural width
static double
find_stretch(const Engraving* const e, const System* const system)
{
  double fixed    = 0.0;
  double flexible = 0.0;
  line_widths(e, system->first_bar, system->n_bars, &fixed, &flexible);
  const double room = e->line_width - fixed;
  const bool   last = system->first_bar + system->n_bars == e->n_bars;
  if (last && flexible < room * LAST_LINE_FULL) {
    return 1.0;
  }

  double low  = 0.05;
  double high = 8.0;
  for (int i = 0; i < 40; ++i) {
    const double middle = (low + high) / 2.0;
    if (width_at(e, system, middle) < room) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return low;
}

static void
set_columns(Engraving* const e, System* const system, const size_t index)
{
  const double stretch = e->line_width > 0.0 ? find_stretch(e, system) : 1.0;
  const size_t first   = system->first_bar;
  system->x            = e->margin + indent(e, first);
  system->header       = engrave_header_width(e, first, e->bars[first].shows_metre);
  double x             = system->x + system->header;
  for (size_t b = first; b < first + system->n_bars; ++b) {
    BarBox* const bar = &e->bars[b];
    bar->system       = index;
    bar->x            = b == first ? system->x : x;
    x += b == first ? bar->lead_first : bar->lead;
    for (size_t c = 0; c < bar->n_columns; ++c) {
      Column* const column = &e->columns[bar->first_column + c];
      column->x            = x;
      x += spacing_gap(column, stretch);
    }
    bar->x_end = x;
  }
  system->x_end = x + engrave_warning_width(e, first + system->n_bars);
}

/// Ink of columns next to each other may meet diagonally, so each is held against its neighbours
static double
staff_distance(const Engraving* const e,
               const size_t           first_column,
               const size_t           last_column,
               const size_t           staff)
{
  double distance = STAFF_HEIGHT + (e->n_staves == 2 ? STAFF_GAP : OPEN_STAFF_GAP);
  for (size_t c = first_column; c < last_column; ++c) {
    const Cell* const upper = &e->cells[c * e->n_staves + staff];
    const size_t      from  = c > first_column ? c - 1 : c;
    const size_t      to    = c + 1 < last_column ? c + 1 : c;
    for (size_t near = from; upper->is_used && near <= to; ++near) {
      const Cell* const lower = &e->cells[near * e->n_staves + staff + 1];
      if (lower->is_used) {
        const double bottom = fmax(upper->bottom, STAFF_HEIGHT);
        distance            = fmax(distance, bottom - fmin(lower->top, 0.0) + CLEARANCE);
      }
    }
  }
  return distance;
}

/// Most figures over one bass note in a system
static size_t
count_figure_lines(const Engraving* const e, const size_t first_column, const size_t last_column)
{
  size_t most = 1;
  for (size_t i = e->first_tag[ROW_FIGURES]; i < e->first_tag[ROW_FIGURES + 1]; ++i) {
    const Tag* const tag = &e->tags[i];
    if (tag->column >= first_column && tag->column < last_column) {
      size_t n = 1;
      for (const char* c = tag->stack; *c; ++c) {
        n += *c == '\n';
      }
      most = n > most ? n : most;
    }
  }
  return most;
}

static void
set_rows(Engraving* const e, System* const system)
{
  double y = system->bottom + ROW_GAP;
  engrave_share_rhythms(e, system);
  for (size_t r = ROW_RHYTHM_BELOW; r < N_ROWS; ++r) {
    if (engrave_has_row(e, system, r)) {
      system->row_y[r] = y + row_rise(e, r);
      y += row_height(e, system, r);
      system->bottom = y;
    }
  }
  // Bar numbers stand between the staves and the rows of an overlay.
  const bool has_rows_above = e->row_used[ROW_THEIR_QUALITIES] ||
                              e->row_used[ROW_ASKED_QUALITIES] || e->row_used[ROW_NOTE_NUMBERS];
  system->top -= has_rows_above ? 1.0 : 0.0;
  for (size_t r = ROW_RHYTHM_BELOW; r-- > 0;) {
    if (engrave_has_row(e, system, r)) {
      system->row_y[r] = system->top - 0.8;
      system->top -= row_height(e, system, r);
    }
  }
}

static void
set_staves(Engraving* const e, System* const system)
{
  const size_t        last_bar     = system->first_bar + system->n_bars - 1;
  const size_t        first_column = e->bars[system->first_bar].first_column;
  const BarBox* const end          = &e->bars[last_bar];
  const size_t        last_column  = end->first_column + end->n_columns;
  for (size_t s = 1; s < e->n_staves; ++s) {
    system->staff_y[s] =
      system->staff_y[s - 1] + staff_distance(e, first_column, last_column, s - 1);
  }

  const size_t n    = e->n_staves;
  system->top       = -1.6; // clefs and bar numbers reach out of the staff
  const double base = n ? system->staff_y[n - 1] : 0.0;
  system->bottom    = base + (n ? STAFF_HEIGHT : 0.0) + 0.6;
  for (size_t c = first_column; n && c < last_column; ++c) {
    const Cell* const top    = &e->cells[c * n];
    const Cell* const bottom = &e->cells[c * n + n - 1];
    system->top              = top->is_used ? fmin(system->top, top->top) : system->top;
    system->bottom = bottom->is_used ? fmax(system->bottom, base + bottom->bottom) : system->bottom;
  }
  system->figure_lines = count_figure_lines(e, first_column, last_column);
  set_rows(e, system);
}

static QfStatus
add_pages(Engraving* const e, const size_t n_pages)
{
  e->n_pages = n_pages;
  e->pages   = (Page*)calloc(n_pages, sizeof(Page));
  return e->pages ? QF_OK : QF_ERR_NO_MEM;
}

static double
title_height(const Engraving* const e)
{
  if (!e->options.has_title || (!e->title[0] && !e->composer[0])) {
    return engrave_name_height(e);
  }
  return engrave_name_height(e) + (e->title[0] ? 6.0 : 1.0) + (e->composer[0] ? 3.0 : 0.5);
}

/// Spread the systems of a full page to its foot, within reason
static void
spread_page(Engraving* const e, const size_t first, const size_t end)
{
  const double foot  = e->page_height - e->margin;
  const double spare = foot - (e->systems[end - 1].y + e->systems[end - 1].bottom);
  const size_t gaps  = end - first - 1;
  if (gaps == 0 || end == e->n_systems) {
    return;
  }
  const double each = fmin(spare / (double)gaps, SYSTEM_GAP * MOST_SYSTEM_STRETCH);
  for (size_t i = first + 1; i < end; ++i) {
    e->systems[i].y += each * (double)(i - first);
  }
}

static QfStatus
set_pages(Engraving* const e)
{
  double y     = e->margin + title_height(e);
  size_t page  = 0;
  size_t first = 0;
  for (size_t i = 0; i < e->n_systems; ++i) {
    System* const system = &e->systems[i];
    const double  height = system->bottom - system->top;
    const double  foot   = e->page_height - e->margin;
    if (i > first && e->page_height > 0.0 && y + height > foot) {
      spread_page(e, first, i);
      ++page;
      first = i;
      y     = e->margin;
    }
    system->page = page;
    system->y    = y - system->top;
    y += height + SYSTEM_GAP;
  }

  const System* const last = e->n_systems ? &e->systems[e->n_systems - 1] : NULL;
  e->height =
    e->page_height > 0.0 ? e->page_height : (last ? last->y + last->bottom : y) + e->margin;
  return add_pages(e, page + 1);
}

/// An endless system keeps the same room around it while notes come and go
static void
steady_margins(const Engraving* const e, System* const system)
{
  if (e->page_height <= 0.0 && e->n_staves) {
    const double base = system->staff_y[e->n_staves - 1] + STAFF_HEIGHT;
    system->top       = fmin(system->top, -SCREEN_ROOM);
    system->bottom    = fmax(system->bottom, base + SCREEN_ROOM);
  }
}

QfStatus
engrave_break(Engraving* const e)
{
  e->systems = (System*)calloc(e->n_bars + 1, sizeof(System));
  if (!e->systems) {
    return QF_ERR_NO_MEM;
  }

  QfStatus st = QF_OK;
  if (e->line_width > 0.0 && e->n_bars) {
    st = choose_breaks(e);
  } else if (e->n_bars) {
    e->systems[e->n_systems++] = (System){.first_bar = 0, .n_bars = e->n_bars};
  }

  double right = e->margin;
  for (size_t i = 0; !st && i < e->n_systems; ++i) {
    set_columns(e, &e->systems[i], i);
    set_staves(e, &e->systems[i]);
    steady_margins(e, &e->systems[i]);
    right = fmax(right, e->systems[i].x_end);
  }
  e->width = (e->line_width > 0.0 ? e->margin + e->line_width : right) + e->margin;
  return st ? st : set_pages(e);
}

double
engrave_staff_y(const System* const system, const size_t staff)
{
  return system->y + system->staff_y[staff];
}
