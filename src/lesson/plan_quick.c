// SPDX-License-Identifier: MIT
#include "quintfall/plan.h"

QfPlan*
qf_plan_of_hearing(const QfHearing hearing, const QfTime from, const QfTime to)
{
  const QfHearing used      = qf_hearing_clamp(hearing);
  QfPlan* const   plan      = qf_plan_new("");
  QfPlanStep      pass      = qf_plan_step_default(QF_STEP_PASS);
  QfStatus        st        = plan ? QF_OK : QF_ERR_NO_MEM;
  pass.pass.forward         = used.forward.kind;
  pass.pass.voices          = QF_VOICE_BIT(used.forward.voice % (QF_VOICE_LOWEST + 1U));
  pass.pass.is_spread       = used.is_spread;
  pass.pass.from            = from;
  pass.pass.to              = to;
  pass.pass.repeats         = used.repeats;
  pass.pass.gap             = (QfLength){used.gap_beats, QF_UNIT_BEATS};
  pass.pass.lead_ms         = used.lead_ms;
  pass.pass.program         = used.program;
  pass.pass.tempo_factor    = used.tempo_factor;
  pass.pass.softening_db    = used.softening_db;
  pass.pass.forward_gain_db = used.forward_gain_db;
  pass.pass.forward_program = used.forward_program;
  if (!st && used.has_prelude) {
    QfPlanStep prelude      = qf_plan_step_default(QF_STEP_PRELUDE);
    prelude.prelude.kind    = QF_PRELUDE_CADENCE;
    prelude.prelude.program = used.program;
    st                      = qf_plan_insert_step(plan, SIZE_MAX, prelude);
  }
  if (!st && used.has_count_in) {
    st = qf_plan_insert_step(plan, SIZE_MAX, qf_plan_step_default(QF_STEP_COUNT_IN));
  }
  st = st ? st : qf_plan_insert_step(plan, SIZE_MAX, pass);
  if (st) {
    qf_plan_free(plan);
    return NULL;
  }
  return plan;
}
