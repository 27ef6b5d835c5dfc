// SPDX-License-Identifier: MIT
#include "bill.h"

enum {
  EDGE_FAULT = 60, ///< Price of an error at a lenient edge
};

/// What a profile does not mind is still worth half of it
static void
charge(Sink* const sink, const Remark remark)
{
  Bill* const            bill     = (Bill*)sink;
  const GradeText* const grade    = grade_get(remark.grade);
  const QfSeverity       severity = grade->severity[bill->profile];
  if (remark.grade == GRADE_RANGE && !(remark.voices & ~bill->ranged)) {
    return;
  }
  if (severity != QF_SEVERITY_ERROR) {
    bill->cost += severity == QF_SEVERITY_OFF ? grade->price / 2 : grade->price;
  } else if (bill->may_fault) {
    bill->cost += EDGE_FAULT;
  } else {
    bill->cost += COST_NEVER;
    bill->fault = remark.grade;
  }
}

Bill
bill_new(const QfProfile profile, const bool may_fault)
{
  return (Bill){.sink = {charge}, .profile = profile, .may_fault = may_fault};
}

void
policy_range(const Policy* const policy,
             const size_t        voice,
             const bool          is_wide,
             int* const          low,
             int* const          high)
{
  if ((policy->ranged >> voice) & 1U) {
    *low  = policy->lowest[voice];
    *high = policy->highest[voice];
  } else {
    voice_range(policy->n_voices, voice, is_wide, low, high);
  }
}
