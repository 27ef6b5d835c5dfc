// SPDX-License-Identifier: MIT
#include "lesson_impl.h"
#include "pin_links.h"
#include "writing_around.h"

#include <stdlib.h>

/// The links of a span, as labelled
typedef struct {
  QfLink* links; ///< Owned
  size_t  n_links;
} Span;

static QfStatus
complain_unnamed(const QfScore* const score, const QfLabel* const label, QfError* const error)
{
  char place[40];
  qf_score_write_place(score, label->start, place, sizeof(place));
  return qf_error_set(error, QF_ERR_UNSUPPORTED,
                      "no chord is named at %s; pin one there, or leave it out of the selection",
                      place);
}

static QfStatus
find_span(const QfScore* const  score,
          const QfLabels* const labels,
          const QfTime          start,
          const QfTime          end,
          Span* const           span,
          QfError* const        error)
{
  const size_t n = qf_labels_n_links(labels);
  span->links    = (QfLink*)calloc(n + 1U, sizeof(QfLink));
  if (!span->links) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  for (size_t i = 0; i < n; ++i) {
    const QfLabel* const label = qf_labels_get_link(labels, i);
    if (qf_time_compare(label->end, start) <= 0 || qf_time_compare(label->start, end) >= 0) {
      continue;
    }
    if (!label->is_known) {
      return complain_unnamed(score, label, error);
    }
    span->links[span->n_links++] =
      (QfLink){label->key, label->numeral, label->start, qf_time_sub(label->end, label->start)};
  }
  return span->n_links
           ? QF_OK
           : qf_error_set(error, QF_ERR_RANGE, "there is no chord in the selection to realise");
}

/// Choose the way asked for
static QfStatus
write_span(const Around* const   around,
           const QfRealiseWishes wishes,
           QfWritings* const     writings,
           QfWays* const         ways,
           QfError* const        error)
{
  if (wishes.nth >= QF_WRITING_MAX_BEST) {
    return qf_error_set(error, QF_ERR_RANGE, "at most the %d best ways can be asked for",
                        QF_WRITING_MAX_BEST);
  }
  QfClash        clash   = {0};
  QfWriteOptions options = around_options(around, wishes.profile);
  options.n_best         = ways ? QF_WRITING_MAX_BEST : wishes.nth + 1U;
  const QfStatus st = qf_write(around->links, around->n_links, options, writings, &clash, error);
  if (st == QF_ERR_IMPOSSIBLE && clash.n_kept) {
    return around_report(around, &clash, error);
  }
  const size_t n_found = writings->n_writings;
  if (!st && ways) {
    const size_t written = wishes.nth < n_found ? wishes.nth : 0;
    *ways = (QfWays){n_found, writings->writings[written].cost, writings->writings[0].cost};
  }
  if (!st && wishes.nth >= n_found) {
    return qf_error_set(error, QF_ERR_RANGE, "there %s only %zu way%s to write the selection",
                        n_found == 1 ? "is" : "are", n_found, n_found == 1 ? "" : "s");
  }
  return st;
}

static QfStatus
realise_span(QfLesson* const       lesson,
             State* const          state,
             const Span* const     span,
             const QfRealiseWishes wishes,
             QfWays* const         ways,
             QfError* const        error)
{
  const size_t n_voices = qf_score_n_voices(state->score);
  Around       around   = {0};
  QfWritings   writings = {0};
  QfStatus     st =
    around_find(state, span->links, span->n_links, n_voices, wishes.kept_voices, false, &around);
  st = st ? st : write_span(&around, wishes, &writings, ways, error);
  if (!st) {
    st = around_write(state, span->links, span->n_links, n_voices, wishes.kept_voices,
                      writings.writings[wishes.nth].pitches);
  }
  st = st ? st : pin_links(lesson, state, span->links, span->n_links);
  qf_writings_clear(&writings);
  around_clear(&around);
  return st;
}

QfStatus
qf_lesson_realise_span(QfLesson* const       lesson,
                       const QfTime          start,
                       const QfTime          end,
                       const QfRealiseWishes wishes,
                       QfWays* const         ways,
                       QfError* const        error)
{
  State*       state    = NULL;
  QfStatus     st       = lesson_begin_edit(lesson, &state, error);
  const size_t n_voices = st ? 0 : qf_score_n_voices(state->score);
  if (st) {
    return st;
  }
  if (n_voices < QF_WRITING_MIN_VOICES || n_voices > QF_WRITING_MAX_VOICES) {
    st = qf_error_set(error, QF_ERR_UNSUPPORTED,
                      "a selection is realised in three to five voices; this lesson has %zu",
                      n_voices);
  }
  Span                  span   = {0};
  const QfLabels* const labels = st ? NULL : qf_lesson_get_labels(lesson);
  if (!st && !labels) {
    st = qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }
  st = st ? st : find_span(state->score, labels, start, end, &span, error);
  st = st ? st : realise_span(lesson, state, &span, wishes, ways, error);
  free(span.links);
  return lesson_end_edit(lesson, state, "Realise the selection", st, error);
}
