// SPDX-License-Identifier: MIT
// Where the answer differs, to be heard: theirs, then the original.
#include "grade_impl.h"

#include <stdlib.h>

static int
compare_starts(const void* const a, const void* const b)
{
  const QfDifference* const x = (const QfDifference*)a;
  const QfDifference* const y = (const QfDifference*)b;
  return qf_time_compare(x->from, y->from);
}

static QfDifference
difference_of(const QfVerdict* const verdict)
{
  return (QfDifference){.from        = verdict->start,
                        .to          = verdict->end,
                        .answer_from = verdict->answer_start,
                        .answer_to   = verdict->answer_end,
                        .layers      = BIT(verdict->layer)};
}

/// Take what touches or overlaps together; gives the number left
static size_t
merge(QfDifference* const differences, const size_t n_differences)
{
  size_t n_merged = 0;
  for (size_t i = 0; i < n_differences; ++i) {
    const QfDifference  next = differences[i];
    QfDifference* const last = n_merged ? &differences[n_merged - 1U] : NULL;
    if (last && qf_time_compare(next.from, last->to) <= 0) {
      last->to          = qf_time_max(last->to, next.to);
      last->answer_from = qf_time_min(last->answer_from, next.answer_from);
      last->answer_to   = qf_time_max(last->answer_to, next.answer_to);
      last->layers |= next.layers;
    } else {
      differences[n_merged++] = next;
    }
  }
  return n_merged;
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
  grade->differences   = (QfDifference*)calloc(grade->n_verdicts + 1U, sizeof(QfDifference));
  if (!grade->differences) {
    return QF_ERR_NO_MEM;
  }
  size_t n = 0;
  for (size_t i = 0; i < grade->n_verdicts; ++i) {
    const QfVerdict* const verdict = &grade->verdicts[i];
    if (verdict->kind != QF_VERDICT_RIGHT || verdict->following) {
      grade->differences[n++] = difference_of(verdict);
    }
  }
  if (n) {
    qsort(grade->differences, n, sizeof(QfDifference), compare_starts);
  }
  grade->n_differences = merge(grade->differences, n);
  for (size_t i = 0; i < grade->n_differences; ++i) {
    QfDifference* const difference = &grade->differences[i];
    difference->has_notes = has_notes(marking, difference->answer_from, difference->answer_to);
  }
  return QF_OK;
}
