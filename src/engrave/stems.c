// SPDX-License-Identifier: MIT
#include "engraving.h"

#include <math.h>
#include <stdlib.h>

#define STEM_LENGTH 3.5
#define SHORTEST_STEM 2.6

static bool
has_stem(const Mark* const mark)
{
  return engrave_is_note(mark) && mark->symbol.value >= 1;
}

/// A voice alone: away from the middle line, downwards on it. Rule: common practice.
static int8_t
stem_by_position(const int position)
{
  return position >= MIDDLE_POSITION ? -1 : 1;
}

/// The head farthest from the middle line decides for the whole beam
static int8_t
stem_of_beam(const Engraving* const e, const Beam* const beam)
{
  int highest = INT_MIN;
  int lowest  = INT_MAX;
  for (size_t i = 0; i < beam->n; ++i) {
    const int position = e->marks[beam->first + i].position;
    highest            = position > highest ? position : highest;
    lowest             = position < lowest ? position : lowest;
  }
  return highest - MIDDLE_POSITION >= MIDDLE_POSITION - lowest ? -1 : 1;
}

/// Stems that point out of the staff are shortened, those of ledger lines reach its middle
static double
stem_length(const int position, const int8_t stem, const int n_flags)
{
  const int    outwards = stem * (position - MIDDLE_POSITION);
  const double extra    = n_flags > 2 ? 0.75 * (n_flags - 2) : 0.0;
  if (outwards > 0) {
    return fmax(SHORTEST_STEM + (n_flags ? 0.4 : 0.0), STEM_LENGTH - 0.15 * outwards) + extra;
  }
  return fmax(STEM_LENGTH, -outwards / 2.0) + extra;
}

void
engrave_direct_stems(Engraving* const e)
{
  for (size_t i = 0; i < e->n_marks; ++i) {
    Mark* const mark = &e->marks[i];
    if (has_stem(mark)) {
      mark->stem = mark->side ? mark->side : stem_by_position(mark->position);
    }
  }

  for (size_t b = 0; b < e->n_beams; ++b) {
    const Beam* const beam = &e->beams[b];
    const Mark* const head = &e->marks[beam->first];
    const int8_t      stem = head->side ? head->side : stem_of_beam(e, beam);
    for (size_t i = 0; i < beam->n; ++i) {
      e->marks[beam->first + i].stem = stem;
    }
  }

  for (size_t i = 0; i < e->n_marks; ++i) {
    Mark* const mark = &e->marks[i];
    if (mark->stem) {
      const int n_flags = mark->symbol.value > 2 ? mark->symbol.value - 2 : 0;
      mark->stem_end    = engrave_y_of(mark->position) -
                       mark->stem * stem_length(mark->position, mark->stem, n_flags);
    }
  }
}

double
engrave_stem_x(const Engraving* const e, const Mark* const mark)
{
  const double left = e->columns[mark->column].x + mark->dx;
  return mark->stem > 0 ? left + engrave_head_width(e, mark->symbol.value) - STEM_THICKNESS / 2.0
                        : left + STEM_THICKNESS / 2.0;
}
