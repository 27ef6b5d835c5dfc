// SPDX-License-Identifier: MIT
#include "tuplets.h"

enum {
  MAX_CELLS         = 24,
  MAX_HALVINGS      = 5,
  SHORTEST_CELL_DEN = 32, ///< A tuplet shorter than a 32nd is not looked for
  N_RANKS           = 5,
};

/// A stretch of the bar that a tuplet could fill
typedef struct {
  QfTime start;
  QfTime end;
  bool   is_beat;   ///< Exactly one beat
  bool   is_longer; ///< More than one beat
} Cell;

static int64_t
odd_part(const int64_t number)
{
  return number / (number & -number);
}

int
qf_tuplet_base(const int factor)
{
  int base = 1;
  while (base * 2 < factor) {
    base *= 2;
  }
  return base;
}

/// Index of the last piece that starts at or before a time
static size_t
piece_at(const BarPieces* const bar, const QfTime time)
{
  size_t low  = 0;
  size_t high = bar->n_pieces;
  while (low + 1U < high) {
    const size_t middle = low + (high - low) / 2U;
    if (qf_time_compare(bar->pieces[middle].start, time) <= 0) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return low;
}

/// The piece that lies across a time, or NULL
static const Piece*
piece_across(const BarPieces* const bar, const QfTime time)
{
  const Piece* const piece = &bar->pieces[piece_at(bar, time)];
  return qf_time_compare(piece->start, time) < 0 && qf_time_compare(piece->end, time) > 0 ? piece
                                                                                          : NULL;
}

/// Least factor that makes all starts within a cell dyadic, or more than #MAX_TUPLET
static int
factor_of(const BarPieces* const bar, const QfTime start, const QfTime end)
{
  int64_t factor = 1;
  for (size_t i = piece_at(bar, start);
       i < bar->n_pieces && qf_time_compare(bar->pieces[i].start, end) < 0; ++i) {
    if (qf_time_compare(bar->pieces[i].start, start) > 0) {
      const int64_t odd  = odd_part(qf_time_sub(bar->pieces[i].start, start).den);
      const int64_t both = qf_time(factor, odd).num; // factor without what it shares with odd
      factor             = odd > MAX_TUPLET ? odd : both * odd;
      if (factor > MAX_TUPLET) {
        return MAX_TUPLET + 2;
      }
    }
  }
  return (int)factor;
}

static bool
crosses(const Piece* const piece, const bool with_rests)
{
  return piece && (piece->note || with_rests);
}

static bool
is_clean(const BarPieces* const bar, const Cell* const cell, const bool with_rests)
{
  return !crosses(piece_across(bar, cell->start), with_rests) &&
         !crosses(piece_across(bar, cell->end), with_rests);
}

/// True if all starts in the cell are multiples of its simplest division
static bool
is_simple(const BarPieces* const bar, const Cell* const cell)
{
  const QfTime length = qf_time_sub(cell->end, cell->start);
  const int    factor = factor_of(bar, cell->start, cell->end);
  for (size_t i = piece_at(bar, cell->start);
       i < bar->n_pieces && qf_time_compare(bar->pieces[i].start, cell->end) < 0; ++i) {
    const QfTime past = qf_time_sub(bar->pieces[i].start, cell->start);
    if (past.num > 0 && qf_time_div(qf_time_mul(past, qf_time(factor, 1)), length).den != 1) {
      return false;
    }
  }
  return true;
}

static bool
is_dyadic(const QfTime time)
{
  return odd_part(time.den) == 1;
}

/// True if notes that reach out of the cell can be tied over its edges
static bool
can_tie_out(const BarPieces* const bar, const Cell* const cell)
{
  const Piece* const before = piece_across(bar, cell->start);
  const Piece* const after  = piece_across(bar, cell->end);
  return (!crosses(before, false) || is_dyadic(before->start)) &&
         (!crosses(after, false) || is_dyadic(after->end));
}

/// Cells around one time
typedef struct {
  Cell   cells[MAX_CELLS]; ///< From the shortest to the longest
  size_t n_cells;
} CellList;

static void
add_cell(const BarPieces* const bar, CellList* const list, const Cell cell)
{
  const bool is_inside = qf_time_compare(cell.start, bar->pieces[0].start) >= 0 &&
                         qf_time_compare(cell.end, bar->pieces[bar->n_pieces - 1U].end) <= 0;
  if (is_inside && list->n_cells < MAX_CELLS) {
    list->cells[list->n_cells++] = cell;
  }
}

/// Cells within the beat [start, start + n_units)
static void
add_short_cells(const BarPieces* const bar,
                CellList* const        list,
                const QfTime           time,
                const QfTime           start,
                const int              n_units)
{
  const QfTime unit = qf_time(1, bar->metre.denominator);
  for (int halvings = MAX_HALVINGS; halvings >= (n_units > 1 ? 0 : 1); --halvings) {
    const QfTime size = qf_time_div(unit, qf_time(1 << halvings, 1));
    const QfTime from = qf_time_add(start, qf_time_floor(qf_time_sub(time, start), size));
    if (size.den <= SHORTEST_CELL_DEN) {
      add_cell(bar, list, (Cell){.start = from, .end = qf_time_add(from, size)});
    }
  }

  const QfTime in_units = qf_time_floor(qf_time_sub(time, start), unit);
  for (int before = 0; before <= 1 && n_units > 2; ++before) {
    const QfTime from = qf_time_sub(in_units, qf_time_mul(unit, qf_time(before, 1)));
    const QfTime to   = qf_time_add(from, qf_time_mul(unit, qf_time(2, 1)));
    if (from.num >= 0 && qf_time_compare(to, qf_time_mul(unit, qf_time(n_units, 1))) <= 0) {
      add_cell(bar, list, (Cell){.start = qf_time_add(start, from), .end = qf_time_add(start, to)});
    }
  }
}

static void
add_beats(const BarPieces* const bar,
          CellList* const        list,
          const QfTime           origin,
          const int              from,
          const int              to)
{
  if (from >= 0 && to <= bar->metre.n_groups) {
    add_cell(bar, list,
             (Cell){.start     = qf_time_add(origin, qf_metre_beat_start(bar->metre, from)),
                    .end       = qf_time_add(origin, qf_metre_beat_start(bar->metre, to)),
                    .is_beat   = to == from + 1,
                    .is_longer = to > from + 1});
  }
}

static CellList
cells_around(const BarPieces* const bar, const QfTime time)
{
  // An overlong bar repeats its metre
  const QfTime origin = qf_time_floor(time, qf_metre_bar(bar->metre));
  const QfTime past   = qf_time_sub(time, origin);
  const int    n      = bar->metre.n_groups;
  int          beat   = 0;
  while (beat + 1 < n && qf_time_compare(qf_metre_beat_start(bar->metre, beat + 1), past) <= 0) {
    ++beat;
  }

  CellList     list  = {.n_cells = 0};
  const QfTime start = qf_time_add(origin, qf_metre_beat_start(bar->metre, beat));
  add_short_cells(bar, &list, time, start, bar->metre.groups[beat]);
  add_beats(bar, &list, origin, beat, beat + 1);

  // Pairs of beats, first the one that begins on a stronger beat
  const int even = beat - beat % 2;
  const int odd  = beat % 2 ? beat : beat - 1;
  add_beats(bar, &list, origin, even, even + 2);
  add_beats(bar, &list, origin, odd, odd + 2);
  if (n % 2 == 0 && n > 4) {
    const int half = beat < n / 2 ? 0 : n / 2;
    add_beats(bar, &list, origin, half, half + n / 2);
  }
  if (n > 2) {
    add_beats(bar, &list, origin, 0, n);
  }
  return list;
}

/**
   How well a cell suits as a tuplet: 0 best, #N_RANKS not at all.

   A beat or less that no note leaves; then more beats, evenly divided (triplet
   quarters over a half note); then a beat with ties over its edges; then any
   longer cell that no note leaves; in the end the beat as it is.
*/
static int
rank_of(const BarPieces* const bar, const Cell* const cell)
{
  const bool is_closed = is_clean(bar, cell, !cell->is_beat && !cell->is_longer);
  if (cell->is_longer) {
    return !is_closed ? N_RANKS : is_simple(bar, cell) ? 1 : 3;
  }
  if (is_closed) {
    return 0;
  }
  return !cell->is_beat ? N_RANKS : can_tie_out(bar, cell) ? 2 : 4;
}

/// The cell to write a start in that falls between the plain note values
static Cell
choose_cell(const BarPieces* const bar, const QfTime time)
{
  const CellList list = cells_around(bar, time);
  Cell           best = {.start = bar->pieces[0].start, .end = bar->pieces[bar->n_pieces - 1U].end};
  int            best_rank = N_RANKS;
  for (size_t i = 0; i < list.n_cells && best_rank > 0; ++i) {
    const int rank = rank_of(bar, &list.cells[i]);
    if (rank < best_rank) {
      best      = list.cells[i];
      best_rank = rank;
    }
  }
  return best;
}

size_t
qf_tuplets_of(const BarPieces* const bar, Tuplet* const tuplets)
{
  size_t n_tuplets = 0;
  for (size_t i = 1; i < bar->n_pieces; ++i) {
    const QfTime time = bar->pieces[i].start;
    if (is_dyadic(time) || (n_tuplets && qf_time_compare(time, tuplets[n_tuplets - 1U].end) < 0)) {
      continue;
    }

    const Cell cell  = choose_cell(bar, time);
    QfTime     start = cell.start;
    while (n_tuplets && qf_time_compare(tuplets[n_tuplets - 1U].end, start) > 0) {
      start = qf_time_min(start, tuplets[--n_tuplets].start);
    }

    tuplets[n_tuplets++] = (Tuplet){start, cell.end, factor_of(bar, start, cell.end)};
  }
  return n_tuplets;
}
