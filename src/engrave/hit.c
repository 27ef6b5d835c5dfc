// SPDX-License-Identifier: MIT
#include "hit.h"

#include <math.h>

#define REACH 1.1 ///< How far from a head a click still means it
#define HALF_HEAD 0.6

double
engrave_x_of(const Engraving* const e, const QfTime time)
{
  if (!e->n_columns) {
    return e->margin;
  }

  const size_t        c      = engrave_column_at(e, time);
  const Column* const column = &e->columns[c];
  const BarBox* const bar    = &e->bars[column->bar];
  const bool          in_system =
    c + 1 < e->n_columns && e->bars[e->columns[c + 1].bar].system == bar->system;
  const QfTime next   = in_system ? e->columns[c + 1].time : bar->end;
  const double x_next = in_system ? e->columns[c + 1].x : bar->x_end;
  const double length = qf_time_to_double(qf_time_sub(next, column->time));
  const double along  = qf_time_to_double(qf_time_sub(time, column->time));
  const double part   = length > 0.0 ? fmax(0.0, fmin(1.0, along / length)) : 0.0;
  return column->x + part * (x_next - column->x);
}

double
qf_engraving_x_of(const QfEngraving* const e, const QfTime time)
{
  return engrave_x_of(e, time) * e->options.space;
}

const System*
engrave_system_at(const Engraving* const e, const QfTime time)
{
  return e->n_columns ? &e->systems[e->bars[e->columns[engrave_column_at(e, time)].bar].system]
                      : NULL;
}

static double
distance_to(const Box box, const double x, const double y)
{
  const double dx = fmax(0.0, fmax(box.left - x, x - box.right));
  const double dy = fmax(0.0, fmax(box.top - y, y - box.bottom));
  return hypot(dx, dy);
}

/// Nearest head within reach; of several that hold the point the one whose middle is nearest
static uint32_t
note_at(const Engraving* const e, const double x, const double y)
{
  uint32_t note = QF_NO_NOTE;
  double   best = INFINITY;
  for (size_t i = 0; i < e->n_heads; ++i) {
    const Box    box      = e->heads[i].box;
    const double distance = e->heads[i].page == 0 ? distance_to(box, x, y) : INFINITY;
    if (distance > REACH) {
      continue;
    }
    const double from_middle =
      hypot(x - (box.left + box.right) / 2.0, y - (box.top + box.bottom) / 2.0);
    if (distance * 100.0 + from_middle < best) {
      best = distance * 100.0 + from_middle;
      note = e->heads[i].note;
    }
  }
  return note;
}

static const System*
nearest_system(const Engraving* const e, const double y)
{
  const System* nearest = &e->systems[0];
  double        best    = INFINITY;
  for (size_t i = 0; i < e->n_systems && e->systems[i].page == 0; ++i) {
    const System* const system = &e->systems[i];
    const Box           box    = {0.0, system->y, 0.0, system->y + system->bottom};
    const double        away   = distance_to(box, 0.0, y);
    if (away < best) {
      best    = away;
      nearest = system;
    }
  }
  return nearest;
}

static size_t
nearest_staff(const Engraving* const e, const System* const system, const double y)
{
  size_t nearest = 0;
  double best    = INFINITY;
  for (size_t s = 0; s < e->n_staves; ++s) {
    const double away = fabs(engrave_staff_y(system, s) + STAFF_HEIGHT / 2.0 - y);
    if (away < best) {
      best    = away;
      nearest = s;
    }
  }
  return nearest;
}

static void
consider(const Engraving* const e,
         const QfTime           time,
         const double           x,
         QfTime* const          result,
         double* const          best)
{
  const double away = fabs(engrave_x_of(e, time) + HALF_HEAD - x);
  if (away < *best) {
    *best   = away;
    *result = time;
  }
}

static QfTime
nearest_time(const Engraving* const e, const System* const system, const double x)
{
  QfTime result = QF_TIME_ZERO;
  double best   = INFINITY;
  for (size_t b = system->first_bar; b < system->first_bar + system->n_bars; ++b) {
    const BarBox* const bar  = &e->bars[b];
    const QfMetre       m    = e->metres[b];
    const bool          far  = x < bar->x - best || x > bar->x_end + best;
    const QfTime        full = qf_time_sub(qf_metre_bar(m), qf_time_sub(bar->end, bar->start));
    const QfTime        skip = qf_time_max(full, QF_TIME_ZERO); // what a pickup leaves out
    for (size_t c = 0; !far && c < bar->n_columns; ++c) {
      consider(e, e->columns[bar->first_column + c].time, x, &result, &best);
    }
    for (int i = 0; !far && i < m.n_groups; ++i) {
      const QfTime beat = qf_time_add(bar->start, qf_time_sub(qf_metre_beat_start(m, i), skip));
      if (qf_time_compare(beat, bar->start) >= 0 && qf_time_compare(beat, bar->end) < 0) {
        consider(e, beat, x, &result, &best);
      }
    }
  }
  return result;
}

bool
qf_engraving_hit(const QfEngraving* const e, const double x, const double y, QfHit* const result)
{
  if (!e->n_systems || !e->n_staves) {
    return false;
  }

  const double        sx     = x / e->options.space;
  const double        sy     = y / e->options.space;
  const System* const system = nearest_system(e, sy);
  const size_t        staff  = nearest_staff(e, system, sy);
  const double        bottom = engrave_staff_y(system, staff) + STAFF_HEIGHT;
  const int           up     = (int)lround((bottom - sy) * 2.0);
  *result                    = (QfHit){.note  = note_at(e, sx, sy),
                                       .staff = staff,
                                       .time  = nearest_time(e, system, sx),
                                       .step  = e->clef_base[staff] + up};
  return true;
}

bool
qf_engraving_note_box(const QfEngraving* const e,
                      const uint32_t           note,
                      double* const            x,
                      double* const            y,
                      double* const            width,
                      double* const            height)
{
  for (size_t i = 0; i < e->n_heads; ++i) {
    const HeadBox* const head = &e->heads[i];
    if (head->note == note && head->is_first) {
      const double space = e->options.space;
      *x                 = head->box.left * space;
      *y                 = head->box.top * space;
      *width             = (head->box.right - head->box.left) * space;
      *height            = (head->box.bottom - head->box.top) * space;
      return true;
    }
  }
  return false;
}
