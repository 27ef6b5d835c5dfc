// SPDX-License-Identifier: MIT
#include "quintfall/events.h"

QfStatus
qf_events_of(const QfScore* const  score,
             const QfLabels* const labels,
             const QfKey           key,
             const QfHearing       hearing,
             const QfTime          from,
             const QfTime          to,
             QfEvents* const       result)
{
  const QfHearing used = qf_hearing_clamp(hearing);
  if (used.forward.kind == QF_FORWARD_VOICE && used.forward.voice >= qf_score_n_voices(score)) {
    return QF_ERR_RANGE;
  }

  QfPlan* const plan = qf_plan_of_hearing(used, from, to);
  if (!plan) {
    return QF_ERR_NO_MEM;
  }
  const QfPerformOptions options     = {.key      = key,
                                        .level_db = used.level_db,
                                        .program  = used.program,
                                        .labels   = labels,
                                        .hearing  = QF_ALL_HEARINGS};
  QfPerformance          performance = {0};
  const QfStatus         st          = qf_perform(score, plan, options, &performance, NULL);
  qf_plan_free(plan);
  if (!st) {
    *result            = performance.events;
    performance.events = (QfEvents){0};
    qf_performance_clear(&performance);
  }
  return st;
}
