// SPDX-License-Identifier: MIT
#include "drawing.h"

#include <math.h>

#define FERMATA_GAP 0.6 ///< From the note's ink, or from the staff
#define TIE_ROOM 1.3    ///< For a tie that bulges between head and fermata
#define TUPLET_ROOM 2.2 ///< For a tuplet's number and bracket

/// Two staves share a fermata above and one upside down below; others have their own above.
/// Rule: common practice.
static bool
is_below(const Engraving* const e, const size_t staff)
{
  return e->n_staves == 2 && staff == 1;
}

static Glyph
glyph_of(const Fermata* const fermata)
{
  return fermata->is_below ? GLYPH_FERMATA_BELOW : GLYPH_FERMATA;
}

/// What else stands on the fermata's side of a note
static double
extra_room(const Mark* const mark, const int side)
{
  const bool   is_near = !mark->side || mark->side == side;
  const double tie     = mark->symbol.is_tied && mark->stem != side ? TIE_ROOM : 0.0;
  const double tuplet  = mark->symbol.tuplet > 1 ? TUPLET_ROOM : 0.0;
  return is_near ? fmax(tie, tuplet) : 0.0;
}

static double
middle_of(const Engraving* const e, const Mark* const mark)
{
  return mark->dx + engrave_head_width(e, mark->symbol.value) / 2.0;
}

static void
place(Engraving* const e, const size_t index, const double room)
{
  const Mark* const mark    = &e->marks[index];
  Cell* const       cell    = &e->cells[mark->column * e->n_staves + mark->staff];
  Fermata           fermata = {.mark = index, .staff = mark->staff};
  fermata.is_below          = is_below(e, mark->staff);
  const Box    box          = e->fonts.boxes[glyph_of(&fermata)];
  const double height       = box.bottom - box.top;
  const double half         = (box.right - box.left) / 2.0;
  if (fermata.is_below) {
    fermata.y    = fmax(cell->bottom, STAFF_HEIGHT) + FERMATA_GAP + room;
    cell->bottom = fermata.y + height;
  } else {
    fermata.y = fmin(cell->top, 0.0) - FERMATA_GAP - room;
    cell->top = fermata.y - height;
  }
  cell->left  = fmax(cell->left, half - middle_of(e, mark));
  cell->right = fmax(cell->right, half + middle_of(e, mark));

  if (engrave_reserve(e, (void**)&e->fermatas, &e->max_fermatas, e->n_fermatas, sizeof(Fermata))) {
    e->fermatas[e->n_fermatas++] = fermata;
  }
}

/// On a staff with a note that begins here and is shown
static void
place_on_staff(Engraving* const e, const Column* const column, const size_t staff)
{
  const int side  = is_below(e, staff) ? -1 : 1;
  size_t    found = NO_INDEX;
  double    room  = 0.0;
  for (size_t i = 0; i < column->n_marks; ++i) {
    const size_t      index = e->by_column[column->first_mark + i];
    const Mark* const mark  = &e->marks[index];
    if (mark->staff == staff && engrave_is_inked(mark)) {
      room  = fmax(room, extra_room(mark, side));
      found = found == NO_INDEX && mark->is_struck ? index : found;
    }
  }
  if (found != NO_INDEX) {
    place(e, found, room);
  }
}

void
engrave_place_fermatas(Engraving* const e)
{
  for (size_t i = 0; i < qf_score_n_fermatas(e->score); ++i) {
    const QfTime  time   = qf_score_get_fermata(e->score, i);
    const Column* column = &e->columns[engrave_column_at(e, time)];
    for (size_t s = 0; s < e->n_staves; ++s) {
      place_on_staff(e, column, s);
    }
  }
}

void
engrave_draw_fermatas(Engraving* const e)
{
  for (size_t i = 0; i < e->n_fermatas; ++i) {
    const Fermata* const fermata = &e->fermatas[i];
    const Mark* const    mark    = &e->marks[fermata->mark];
    const Column* const  column  = &e->columns[mark->column];
    const System* const  system  = &e->systems[e->bars[column->bar].system];
    const Box            box     = e->fonts.boxes[glyph_of(fermata)];
    const double         edge    = fermata->is_below ? box.top : box.bottom;
    const double         width   = box.right - box.left;
    draw_glyph(e, system->page, glyph_of(fermata), column->x + middle_of(e, mark) - width / 2.0,
               engrave_staff_y(system, fermata->staff) + fermata->y - edge, QF_NO_NOTE);
  }
}
