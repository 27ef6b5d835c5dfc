// SPDX-License-Identifier: MIT
#include "stretch.h"

#include "clock.h"

/// Metre in force at a time, and its place in the full bar
static QfMetre
metre_at(const QfScore* const score, const QfTime time, QfTime* const position)
{
  QfMetre metre = {.numerator = 4, .denominator = 4, .n_groups = 4, .groups = {1, 1, 1, 1}};
  *position     = QF_TIME_ZERO;
  if (qf_score_n_bars(score) > 0) {
    const QfBar* const bar = qf_score_get_bar(score, qf_score_bar_at(score, time));

    metre     = bar->metre;
    *position = qf_time_add(qf_time_sub(time, bar->start), bar->offset);
  }
  return metre;
}

static QfStretch
stretch_between(const QfScore* const score, const QfTime from, const QfTime to, const double factor)
{
  const QfTime end      = qf_score_get_end(score);
  const bool   is_whole = qf_time_compare(to, from) <= 0;
  QfStretch    stretch  = {.from = qf_time_min(qf_time_max(from, QF_TIME_ZERO), end),
                           .to   = is_whole ? end : qf_time_min(to, end)};

  stretch.to                = qf_time_max(stretch.to, stretch.from);
  stretch.seconds_per_whole = qf_seconds_per_whole(qf_score_get_tempo(score), factor);
  stretch.metre             = metre_at(score, stretch.from, &stretch.position);
  return stretch;
}

static QfStretch
pass_stretch(const QfScore* const score, const QfPassStep* const pass)
{
  return stretch_between(score, pass->from, pass->to, pass->tempo_factor);
}

/// The last pass before a step, or NULL
static const QfPassStep*
pass_before(const QfPlan* const plan, const size_t step)
{
  for (size_t i = step; i > 0; --i) {
    const QfPlanStep* const other = qf_plan_get_step(plan, i - 1U);
    if (other->kind == QF_STEP_PASS) {
      return &other->pass;
    }
  }
  return NULL;
}

/// What is to be sung: as the gap says, or else what was heard last
static QfStretch
gap_stretch(const QfScore* const score, const QfPlan* const plan, const size_t step)
{
  const QfSungGapStep* const gap   = &qf_plan_get_step(plan, step)->sung_gap;
  const QfPassStep* const    pass  = pass_before(plan, step);
  const bool                 takes = pass && qf_time_compare(gap->to, gap->from) <= 0;
  return stretch_between(score, takes ? pass->from : gap->from, takes ? pass->to : gap->to,
                         gap->tempo_factor);
}

/// The next thing to be heard or sung from a step on; false where nothing follows
static bool
stretch_ahead(const QfScore* const score,
              const QfPlan* const  plan,
              const size_t         step,
              QfStretch* const     stretch)
{
  for (size_t i = step; i < qf_plan_n_steps(plan); ++i) {
    const QfPlanStep* const other = qf_plan_get_step(plan, i);
    if (other->kind == QF_STEP_PASS) {
      *stretch = pass_stretch(score, &other->pass);
      return true;
    }
    if (other->kind == QF_STEP_SUNG_GAP) {
      *stretch = gap_stretch(score, plan, i);
      return true;
    }
  }
  return false;
}

QfStretch
qf_stretch_of(const QfScore* const score, const QfPlan* const plan, const size_t step)
{
  const QfPassStep* const before     = pass_before(plan, step);
  const bool              is_silence = qf_plan_get_step(plan, step)->kind == QF_STEP_SILENCE;
  QfStretch               stretch;
  if (!(before && is_silence) && stretch_ahead(score, plan, step, &stretch)) {
    return stretch;
  }
  return before ? pass_stretch(score, before)
                : stretch_between(score, QF_TIME_ZERO, QF_TIME_ZERO, 1.0);
}

QfTime
qf_stretch_length(const QfStretch* const stretch)
{
  return qf_time_mul(qf_time_sub(stretch->to, stretch->from), stretch->seconds_per_whole);
}

QfTime
qf_stretch_beat(const QfStretch* const stretch)
{
  return qf_time_mul(qf_metre_beat(stretch->metre), stretch->seconds_per_whole);
}

QfTime
qf_stretch_seconds(const QfStretch* const stretch, const QfLength length)
{
  const QfTime amount = qf_exact(length.amount);
  return length.unit == QF_UNIT_SECONDS ? amount : qf_time_mul(amount, qf_stretch_beat(stretch));
}
