// SPDX-License-Identifier: MIT
// One scale of time for the answer and the passage, from what the grader took for what.
#include "time_lines.h"

#include <stdlib.h>

bool
is_paired(const QfVerdict* const verdict)
{
  return verdict->kind != QF_VERDICT_MISSING && verdict->kind != QF_VERDICT_EXTRA;
}

static size_t
line_index(const QfVerdict* const verdict)
{
  switch (verdict->layer) {
    case QF_LAYER_QUALITY:
      return LINE_OF_QUALITIES;
    case QF_LAYER_NUMERAL:
      return LINE_OF_NUMERALS;
    default:
      return verdict->voice;
  }
}

const TimeLine*
time_line_of(const TimeLines* const lines, const QfVerdict* const verdict)
{
  return &lines->lines[line_index(verdict)];
}

void
time_lines_clear(TimeLines* const lines)
{
  for (size_t i = 0; i < N_LINES; ++i) {
    free(lines->lines[i].moments);
  }
  *lines = (TimeLines){0};
}

QfStatus
time_lines_of(const QfVerdict* const verdicts, const size_t n_verdicts, TimeLines* const result)
{
  size_t counts[N_LINES] = {0};
  *result                = (TimeLines){0};
  for (size_t i = 0; i < n_verdicts; ++i) {
    counts[line_index(&verdicts[i])] += is_paired(&verdicts[i]);
  }
  for (size_t i = 0; i < N_LINES; ++i) {
    TimeLine* const line = &result->lines[i];
    line->moments        = (Moment*)calloc(counts[i] + 1U, sizeof(Moment));
    if (!line->moments) {
      time_lines_clear(result);
      return QF_ERR_NO_MEM;
    }
  }

  // Verdicts of a line are in order of time.
  for (size_t i = 0; i < n_verdicts; ++i) {
    TimeLine* const line = &result->lines[line_index(&verdicts[i])];
    if (is_paired(&verdicts[i])) {
      line->moments[line->n_moments++] = (Moment){verdicts[i].answer_start, verdicts[i].start};
    }
  }
  return QF_OK;
}

static Moment
turned(const Moment moment)
{
  return (Moment){moment.asked, moment.written};
}

/// From the first member of moments to the second
static QfTime
between(const Moment from, const Moment to, const QfTime time)
{
  const QfTime along  = qf_time_sub(time, from.written);
  const QfTime length = qf_time_sub(to.written, from.written);
  const QfTime other  = qf_time_sub(to.asked, from.asked);
  return length.num > 0 ? qf_time_add(from.asked, qf_time_div(qf_time_mul(along, other), length))
                        : from.asked;
}

static QfTime
map(const TimeLine* const line, const QfTime time, const bool is_turned)
{
  Moment last = {QF_TIME_ZERO, QF_TIME_ZERO};
  for (size_t i = 0; i < line->n_moments; ++i) {
    const Moment moment = is_turned ? turned(line->moments[i]) : line->moments[i];
    if (qf_time_compare(moment.written, time) > 0) {
      return i ? between(last, moment, time)
               : qf_time_sub(moment.asked, qf_time_sub(moment.written, time));
    }
    last = moment;
  }
  return qf_time_add(last.asked, qf_time_sub(time, last.written));
}

QfTime
time_line_asked(const TimeLine* const line, const QfTime written)
{
  return map(line, written, false);
}

QfTime
time_line_written(const TimeLine* const line, const QfTime asked)
{
  return map(line, asked, true);
}
