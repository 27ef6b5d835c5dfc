// SPDX-License-Identifier: MIT
#include "engraving.h"

#include <stdlib.h>

enum {
  REST_SHIFT     = 2, ///< Half spaces out of the middle, in a staff of two voices
  REST_CLEARANCE = 5, ///< Least distance of a rest's middle from the other voice's head
};

/// The same rest in another voice of the staff, earlier in the column
static bool
is_doubled(const Engraving* const e, const Mark* const mark)
{
  const Column* const column = &e->columns[mark->column];
  for (size_t i = 0; i < column->n_marks; ++i) {
    const Mark* const other = &e->marks[e->by_column[column->first_mark + i]];
    if (other->voice < mark->voice && other->staff == mark->staff && other->is_shown &&
        !engrave_is_note(other) && other->symbol.value == mark->symbol.value &&
        other->symbol.dots == mark->symbol.dots) {
      return true;
    }
  }
  return false;
}

/// True if every shown voice of the staff has this rest, which then stands in the middle
static bool
is_common(const Engraving* const e, const Mark* const mark)
{
  const Column* const column = &e->columns[mark->column];
  unsigned            n      = 0;
  for (size_t i = 0; i < column->n_marks; ++i) {
    const Mark* const other = &e->marks[e->by_column[column->first_mark + i]];
    n += other->staff == mark->staff && other->is_shown && !engrave_is_note(other) &&
         other->symbol.value == mark->symbol.value && other->symbol.dots == mark->symbol.dots;
  }
  return n == e->voices_on[mark->staff];
}

/// The outermost head that sounds against the rest on its side; far away if there is none
static int
head_in_the_way(const Engraving* const e, const Mark* const rest)
{
  int          way = -1000 * rest->side;
  const QfTime end = qf_time_add(rest->symbol.start, rest->symbol.duration);
  for (size_t c = rest->column; c < e->n_columns; ++c) {
    const Column* const column = &e->columns[c];
    if (c > rest->column && qf_time_compare(column->time, end) >= 0) {
      break;
    }
    for (size_t i = 0; i < column->n_marks; ++i) {
      const Mark* const mark = &e->marks[e->by_column[column->first_mark + i]];
      if (mark->staff == rest->staff && engrave_is_inked(mark) &&
          rest->side * mark->position > rest->side * way) {
        way = mark->position;
      }
    }
    if (!rest->symbol.is_whole_bar) {
      break;
    }
  }
  return way;
}

/// Rests of two voices make room for each other; they move by whole spaces to stay on lines
static void
place_rest(Engraving* const e, Mark* const rest)
{
  if (!rest->side) {
    return;
  }
  if (is_common(e, rest)) {
    rest->shares_head = is_doubled(e, rest);
    return;
  }

  const int shifted = MIDDLE_POSITION + rest->side * REST_SHIFT;
  const int clear   = head_in_the_way(e, rest) + rest->side * REST_CLEARANCE;
  const int even    = clear + (clear % 2 != 0 ? rest->side : 0);
  rest->position    = rest->side * even > rest->side * shifted ? even : shifted;
}

void
engrave_place_rests(Engraving* const e)
{
  for (size_t i = 0; i < e->n_marks; ++i) {
    if (!engrave_is_note(&e->marks[i]) && e->marks[i].is_shown) {
      place_rest(e, &e->marks[i]);
    }
  }
}
