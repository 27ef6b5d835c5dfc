// SPDX-License-Identifier: MIT
#include "arrivals.h"

#include <stdlib.h>

/// First link of the harmony that holds on to a link, whatever its inversions
static size_t
first_of_harmony(const QfLabels* const labels, const size_t index)
{
  size_t first = index;

  while (first > 0 && !labels->links[first].is_after_rest &&
         labels->links[first - 1].root == labels->links[index].root &&
         labels->links[first - 1].span.key == labels->links[index].span.key &&
         labels->links[first - 1].is_dominant == labels->links[index].is_dominant) {
    --first;
  }
  return first;
}

/// Name the cadence onto an arrival, if it is one
static bool
name_cadence(const QfCadenceArrival* const arrival, QfCadence* const cadence)
{
  const size_t first = arrival->first;

  if (!first || qf_arrival_link(arrival, first)->is_after_rest ||
      !arrival->labels->labels[first - 1].is_known) {
    return false;
  }

  *cadence = (QfCadence){.from    = first - 1,
                         .arrival = arrival->arrival,
                         .key     = arrival->labels->labels[arrival->arrival].key};
  if (!qf_cadence_find_kind(arrival, cadence)) {
    return false;
  }
  qf_cadence_explain(arrival, cadence);
  return true;
}

/// The link in which a fermata's note comes to rest: a resolution that it waits for counts
static size_t
arrival_under(const QfLabels* const labels, const QfTime from, const QfTime to)
{
  const size_t at = qf_labels_link_at(labels, from);
  size_t       i  = at;

  while (i != SIZE_MAX && i + 1 < labels->n_links &&
         qf_time_compare(labels->labels[i + 1].start, to) < 0 &&
         labels->labels[i].resolution == QF_RESOLUTION_KEPT) {
    ++i;
  }
  return i;
}

/// End of the longest note that starts at a time
static QfTime
longest_end(const QfPassage* const passage, const QfTime time)
{
  const QfSlice* const slice = qf_passage_slice_at(passage, time);
  QfTime               end   = slice->end;

  for (size_t i = 0; i < slice->n_notes; ++i) {
    const QfTime other = qf_time_add(slice->notes[i].start, slice->notes[i].duration);

    end = slice->notes[i].is_struck && qf_time_compare(end, other) < 0 ? other : end;
  }
  return end;
}

/// Where a fermata stands over each link, if one does; negative times elsewhere
static void
place_fermatas(const QfLabelling* const labelling, const QfLabels* const labels, QfTime* const at)
{
  const QfScore* const score = labelling->passage.score;

  for (size_t i = 0; i < labels->n_links; ++i) {
    at[i] = qf_time(-1, 1);
  }
  for (size_t i = 0; i < qf_score_n_fermatas(score); ++i) {
    const QfTime time = qf_score_get_fermata(score, i);
    const size_t link = arrival_under(labels, time, longest_end(&labelling->passage, time));

    if (link != SIZE_MAX) {
      at[link] =
        qf_time_compare(time, labels->labels[link].start) < 0 ? labels->labels[link].start : time;
    }
  }
}

QfStatus
qf_links_find_cadences(const QfLabelling* const labelling, QfLabels* const labels)
{
  QfTime* const fermatas = (QfTime*)calloc(labels->n_links + 1, sizeof(QfTime));

  free(labels->cadences);
  labels->n_cadences = 0;
  labels->cadences   = (QfCadence*)calloc(labels->n_links + 1, sizeof(QfCadence));
  if (!fermatas || !labels->cadences) {
    free(fermatas);
    return QF_ERR_NO_MEM;
  }

  place_fermatas(labelling, labels, fermatas);
  for (size_t i = 1; i < labels->n_links; ++i) {
    const bool       is_held = fermatas[i].num >= 0;
    QfCadenceArrival arrival = {.labelling = labelling,
                                .labels    = labels,
                                .first     = first_of_harmony(labels, i),
                                .arrival   = i,
                                .at        = is_held ? fermatas[i] : labels->labels[i].start};

    arrival.end = is_held ? QF_END_FERMATA : qf_arrival_phrase_end(&arrival);
    if (labels->labels[i].is_known && arrival.end != QF_END_NONE &&
        name_cadence(&arrival, &labels->cadences[labels->n_cadences])) {
      ++labels->n_cadences;
    }
  }

  free(fermatas);
  return QF_OK;
}
