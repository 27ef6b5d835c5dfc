// SPDX-License-Identifier: MIT
// What differs, one thing after the other, to be looked at and heard: theirs, then the original.
#include "grade_impl.h"

#include "time_lines.h"

#include <stdlib.h>

static int
compare_places(const void* const a, const void* const b)
{
  const QfDifference* const x     = (const QfDifference*)a;
  const QfDifference* const y     = (const QfDifference*)b;
  const int                 order = qf_time_compare(x->place, y->place);
  return order ? order : (x->verdict > y->verdict) - (x->verdict < y->verdict);
}

/// Hear on both pages what the difference stands between
static void
widen(QfDifference* const difference, const TimeLine* const line, const QfTime end)
{
  QfTime from = QF_TIME_ZERO;
  QfTime to   = end;
  for (size_t i = 0; i < line->n_moments; ++i) {
    const Moment moment = line->moments[i];
    if (qf_time_compare(moment.asked, difference->place) < 0) {
      from = moment.asked;
    } else {
      to = moment.asked;
      break;
    }
  }
  difference->from        = from;
  difference->to          = to;
  difference->answer_from = qf_time_min(difference->answer_from, time_line_written(line, from));
  difference->answer_to   = qf_time_max(difference->answer_to, time_line_written(line, to));
}

static QfDifference
difference_of(const Marking* const marking, const TimeLines* const lines, const size_t index)
{
  const QfVerdict* const verdict    = &marking->grade->verdicts[index];
  const TimeLine* const  line       = time_line_of(lines, verdict);
  QfDifference           difference = {.verdict     = index,
                                       .place       = verdict->start,
                                       .from        = verdict->start,
                                       .to          = verdict->end,
                                       .answer_from = verdict->answer_start,
                                       .answer_to   = verdict->answer_end};
  if (verdict->kind == QF_VERDICT_EXTRA) {
    difference.place = time_line_asked(line, verdict->answer_start);
    widen(&difference, line, qf_score_get_end(marking->score));
  } else if (verdict->kind == QF_VERDICT_MISSING) {
    difference.answer_from = time_line_written(line, verdict->start);
    difference.answer_to   = time_line_written(line, verdict->end);
    // A gap is heard as one; where what follows has moved up, only the neighbours show it.
    if (qf_time_compare(qf_time_sub(difference.answer_to, difference.answer_from),
                        qf_time_sub(difference.to, difference.from))) {
      widen(&difference, line, qf_score_get_end(marking->score));
    }
  }
  return difference;
}

static bool
has_notes(const Marking* const marking, const QfTime from, const QfTime to)
{
  for (size_t v = 0; marking->given && v < qf_score_n_voices(marking->given); ++v) {
    for (size_t i = 0; i < qf_score_n_notes(marking->given, v); ++i) {
      const QfNote* const note = qf_score_get_note(marking->given, v, i);
      if (qf_time_compare(note->start, to) < 0 &&
          qf_time_compare(from, qf_time_add(note->start, note->duration)) < 0) {
        return true;
      }
    }
  }
  return false;
}

QfStatus
make_differences(const Marking* const marking)
{
  QfGrade* const grade = marking->grade;
  TimeLines      lines = {0};
  grade->differences   = (QfDifference*)calloc(grade->n_verdicts + 1U, sizeof(QfDifference));
  const QfStatus st =
    grade->differences ? time_lines_of(grade->verdicts, grade->n_verdicts, &lines) : QF_ERR_NO_MEM;
  if (st) {
    return st;
  }
  for (size_t i = 0; i < grade->n_verdicts; ++i) {
    const QfVerdict* const verdict = &grade->verdicts[i];
    if (verdict->kind != QF_VERDICT_RIGHT || verdict->following) {
      QfDifference* const difference = &grade->differences[grade->n_differences++];
      *difference                    = difference_of(marking, &lines, i);
      difference->has_notes = has_notes(marking, difference->answer_from, difference->answer_to);
    }
  }
  if (grade->n_differences) {
    qsort(grade->differences, grade->n_differences, sizeof(QfDifference), compare_places);
  }
  time_lines_clear(&lines);
  return QF_OK;
}
