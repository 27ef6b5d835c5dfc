// SPDX-License-Identifier: MIT
// Time in marking: what it costs to take something for another thing at another time.
#include "grade_impl.h"

#include <math.h>

#define COST_LATE 0.25
#define COST_LATE_QUARTER 0.1
#define MOST_QUARTERS 16.0

// The farther away the less likely it was meant: a chord too many or forgotten moves what follows
// by some beats, and that is still less than a wrong note; bars away it is another note.
double
time_cost(const double a, const double b)
{
  const double quarters = 4.0 * fabs(a - b);
  return quarters <= 0.0            ? 0.0
         : quarters > MOST_QUARTERS ? ALIGN_NEVER
                                    : COST_LATE + COST_LATE_QUARTER * quarters;
}

bool
pace_is_fault(Pace* const  pace,
              const QfTime offset,
              const QfTime length_error,
              bool* const  is_following)
{
  const bool is_on_time  = offset.num == 0;
  const bool is_in_shift = !qf_time_compare(offset, pace->shift);
  const bool is_pushed   = !qf_time_compare(offset, qf_time_add(pace->shift, length_error));
  const bool is_forgiven = is_on_time || is_in_shift || pace->after_gap;

  pace->after_gap = false;
  pace->shift     = offset;
  *is_following   = !is_forgiven && is_pushed;
  return !is_forgiven;
}
