// SPDX-License-Identifier: MIT
#include "engraving.h"

#include <math.h>
#include <stdlib.h>

#define SHORTEST_BEAMED_STEM 2.5
#define STEEPEST_SLOPE 0.2
#define LARGEST_RISE 1.25

static bool
can_be_beamed(const Mark* const mark)
{
  return engrave_is_inked(mark) && mark->symbol.value >= 3 && mark->sign == SIGN_NONE &&
         !(mark->symbol.note & QF_OVERLAY_THEIRS_BIT);
}

/// Start of the beat group a position falls in; units shorter than a quarter join into quarters
static QfTime
group_start(const QfMetre metre, const QfTime position)
{
  const QfTime unit    = qf_time(1, metre.denominator);
  const QfTime quarter = qf_time(1, 4);
  QfTime       start   = QF_TIME_ZERO;
  QfTime       end     = QF_TIME_ZERO;
  for (size_t g = 0; g < metre.n_groups; ++g) {
    const QfTime length = qf_time_mul(unit, qf_time(metre.groups[g], 1));
    if (qf_time_compare(qf_time_sub(end, start), quarter) >= 0 ||
        qf_time_compare(length, quarter) >= 0) {
      start = end;
    }
    end = qf_time_add(end, length);
    if (qf_time_compare(position, end) < 0) {
      break;
    }
  }
  return start;
}

/// Where in time the beat group of a mark begins
static QfTime
group_of(const Engraving* const e, const Mark* const mark)
{
  const size_t       index    = e->columns[mark->column].bar;
  const QfBar* const bar      = qf_score_get_bar(e->score, index);
  const QfTime       in_bar   = qf_time_sub(mark->symbol.start, bar->start);
  const QfTime       position = qf_time_add(in_bar, bar->offset);
  return qf_time_add(bar->start, qf_time_sub(group_start(bar->metre, position), bar->offset));
}

static size_t
run_length(const Engraving* const e, const size_t first, const size_t end)
{
  const QfTime group = group_of(e, &e->marks[first]);
  const size_t bar   = e->columns[e->marks[first].column].bar;
  size_t       n     = 1;
  while (first + n < end && n < MAX_BEAM_MEMBERS) {
    const Mark* const mark = &e->marks[first + n];
    if (!can_be_beamed(mark) || e->columns[mark->column].bar != bar ||
        qf_time_compare(group_of(e, mark), group)) {
      break;
    }
    ++n;
  }
  return n;
}

QfStatus
engrave_group_beams(Engraving* const e)
{
  e->beams = (Beam*)calloc(e->n_marks / 2 + 1, sizeof(Beam));
  if (!e->beams) {
    return QF_ERR_NO_MEM;
  }

  for (size_t v = 0; v < e->n_voices; ++v) {
    const size_t end = e->first_mark[v + 1];
    for (size_t i = e->first_mark[v]; i < end;) {
      const size_t n = can_be_beamed(&e->marks[i]) ? run_length(e, i, end) : 1;
      for (size_t j = 0; n > 1 && j < n; ++j) {
        e->marks[i + j].beam = e->n_beams;
      }
      if (n > 1) {
        e->beams[e->n_beams++] = (Beam){i, n};
      }
      i += n;
    }
  }
  return QF_OK;
}

/// Rise of the beam's line by the outer heads; level if an inner head reaches beyond both
static double
beam_rise(const Engraving* const e, const Beam* const beam, const double length)
{
  const Mark* const first = &e->marks[beam->first];
  const Mark* const last  = &e->marks[beam->first + beam->n - 1];
  const int         stem  = first->stem;
  for (size_t i = 1; i + 1 < beam->n; ++i) {
    const int inner = stem * e->marks[beam->first + i].position;
    if (inner >= stem * first->position && inner >= stem * last->position) {
      return 0.0;
    }
  }

  const double limit = fmin(LARGEST_RISE, STEEPEST_SLOPE * length);
  const double rise  = (last->position - first->position) / 4.0;
  return fmax(-limit, fmin(limit, rise));
}

static int
most_beams(const Engraving* const e, const Beam* const beam)
{
  int most = 1;
  for (size_t i = 0; i < beam->n; ++i) {
    const int n = e->marks[beam->first + i].symbol.value - 2;
    most        = n > most ? n : most;
  }
  return most;
}

void
engrave_fit_beam(Engraving* const e, const Beam* const beam)
{
  Mark* const  marks  = &e->marks[beam->first];
  const double x      = engrave_stem_x(e, &marks[0]);
  const double length = engrave_stem_x(e, &marks[beam->n - 1]) - x;
  const double rise   = beam_rise(e, beam, length);
  const double slope  = length > 0.0 ? -rise / length : 0.0;
  const int    stem   = marks[0].stem;
  const double least  = SHORTEST_BEAMED_STEM + BEAM_STEP * (most_beams(e, beam) - 1);

  // The outermost line that its own stems ask for, then far enough for the shortest stem
  double start = marks[0].stem_end;
  for (size_t i = 0; i < beam->n; ++i) {
    const double along  = slope * (engrave_stem_x(e, &marks[i]) - x);
    const double wanted = engrave_y_of(marks[i].position) - stem * least - along;
    const double middle = STAFF_HEIGHT / 2.0 - along;
    start               = stem > 0 ? fmin(start, wanted) : fmax(start, wanted);
    start               = stem > 0 ? fmin(start, middle) : fmax(start, middle);
  }
  for (size_t i = 0; i < beam->n; ++i) {
    marks[i].stem_end = start + slope * (engrave_stem_x(e, &marks[i]) - x);
  }
}
