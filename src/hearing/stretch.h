// SPDX-License-Identifier: MIT
#ifndef QF_HEARING_STRETCH_H
#define QF_HEARING_STRETCH_H

#include "quintfall/plan.h"
#include "quintfall/score.h"

/// What a step goes by: a stretch of the score, and its tempo
typedef struct {
  QfTime  from;
  QfTime  to;
  QfTime  seconds_per_whole;
  QfMetre metre;
  QfTime  position; ///< Of `from`, in the full bar
} QfStretch;

/**
   The stretch of a step: of a pass, what is heard; of a sung gap, what is to be
   sung; of a silence, that of the pass before it; of any other, that of the
   pass or gap it leads up to. The whole score where there is none.
*/
QfStretch
qf_stretch_of(const QfScore* score, const QfPlan* plan, size_t step);

/// Seconds from its start to its end
QfTime
qf_stretch_length(const QfStretch* stretch);

/// Seconds of one beat
QfTime
qf_stretch_beat(const QfStretch* stretch);

/// Seconds of a length
QfTime
qf_stretch_seconds(const QfStretch* stretch, QfLength length);

#endif // QF_HEARING_STRETCH_H
