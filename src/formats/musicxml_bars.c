// SPDX-License-Identifier: MIT
// Bars from measures: their metre, length and place in the bar.
#include "musicxml_build.h"

static QfTicks
ticks_of_bar(const QfMetre metre)
{
  return QF_TICKS_PER_WHOLE / metre.denominator * metre.numerator;
}

void
qf_raw_spread_metres(QfRawScore* const raw, QfRemarks* const remarks)
{
  QfMetre metre = {0};
  bool    known = false;
  for (size_t i = 0; i < raw->n_measures; ++i) {
    QfRawMeasure* const measure = &raw->measures[i];
    if (measure->has_metre) {
      metre = measure->metre;
    } else if (!known) {
      qf_metre(4, 4, &metre);
      qf_remarks_add(remarks, QF_REMARK_NO_METRE, measure->number);
    }
    known          = true;
    measure->metre = metre;
  }
}

/// The longest part says how long a measure is; rests that fill it only if they fit
static QfTicks
measure_length(const QfRawMeasure* const measure, QfRemarks* const remarks)
{
  const QfTicks bar  = ticks_of_bar(measure->metre);
  const QfTicks rest = measure->rest_length > bar ? 0 : measure->rest_length;
  if (!measure->length && !rest) {
    if (!measure->rest_length) {
      qf_remarks_add(remarks, QF_REMARK_FILLED_BAR, measure->number);
    }
    return bar;
  }
  return measure->length > rest ? measure->length : rest;
}

/// True if a measure goes on where the one before it broke off: 7a after 7, or an uncounted one
static bool
continues_bar(const QfBar* const before, const QfRawMeasure* const measure, const QfTime length)
{
  const QfTime reached = qf_time_add(before->offset, before->length);
  const QfTime end     = qf_time_add(reached, length);
  const QfTime bar     = qf_metre_bar(measure->metre);
  const bool   says_so = measure->number == before->number || measure->is_implicit;
  return says_so && qf_metre_equals(before->metre, measure->metre) &&
         qf_time_compare(reached, bar) < 0 && qf_time_compare(end, bar) <= 0;
}

static QfBar
bar_of(const QfRawScore* const raw, const size_t index, const QfBar* const before, QfTime length)
{
  const QfRawMeasure* const measure = &raw->measures[index];

  QfBar bar         = {.length = length, .offset = QF_TIME_ZERO, .metre = measure->metre};
  bar.number        = measure->number;
  bar.suffix        = measure->suffix;
  bar.starts_repeat = measure->starts_repeat;
  bar.ends_repeat   = measure->ends_repeat;

  const QfTime full     = qf_metre_bar(measure->metre);
  const bool   is_short = qf_time_compare(length, full) < 0;
  const bool   is_zero  = !measure->is_numbered || measure->is_implicit || measure->number == 0;
  if (!before && is_short && (raw->n_measures > 1U || is_zero)) {
    bar.offset = qf_time_sub(full, length);
    bar.number = measure->is_numbered ? measure->number : 0;
  } else if (before && continues_bar(before, measure, length)) {
    bar.offset = qf_time_add(before->offset, before->length);
    bar.number = before->number;
    if (!bar.suffix) {
      bar.suffix = before->suffix ? (char)(before->suffix + 1) : 'a';
    }
  }
  return bar;
}

QfStatus
qf_raw_add_bars(const QfRawScore* const raw,
                QfTicks* const          starts,
                QfScore* const          score,
                QfRemarks* const        remarks)
{
  QfStatus st     = QF_OK;
  QfBar    before = {0};
  QfTicks  start  = 0;
  for (size_t i = 0; i < raw->n_measures && !st; ++i) {
    const QfTicks length = measure_length(&raw->measures[i], remarks);
    const QfBar   bar    = bar_of(raw, i, i ? &before : NULL, qf_raw_time(length));
    starts[i]            = start;
    start += length;
    before = bar;
    st     = qf_score_append_bar(score, bar);
  }
  return st;
}
