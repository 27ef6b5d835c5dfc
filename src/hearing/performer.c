// SPDX-License-Identifier: MIT
#include "performer.h"

QfStatus
qf_performer_fail(const QfPerformer* const self,
                  const size_t             step,
                  const QfStatus           status,
                  const char* const        reason)
{
  return qf_error_set(self->error, status, "step %zu of the hearing plan: %s", step + 1U, reason);
}

void
qf_performer_remark(QfPerformer* const self,
                    const char* const  what,
                    const size_t       step,
                    const char* const  why)
{
  qf_text_addf(&self->remarks, "%s%s of step %zu is left out: %s", self->remarks.length ? "\n" : "",
               what, step + 1U, why);
}

double
qf_performer_now(const QfPerformer* const self)
{
  return qf_time_to_double(self->at_s);
}

void
qf_performer_go_on(QfPerformer* const self, const QfTime seconds, const bool is_heard)
{
  self->at_s = qf_time_add(self->at_s, seconds);
  if (is_heard) {
    self->heard_s = self->at_s;
  }
}
