// SPDX-License-Identifier: MIT
#include "arrivals.h"

enum {
  LONG_FACTOR  = 2, // An arrival is long if it lasts so many times the longest chord before it
  LONG_CONTEXT = 3, // Chords before it that are compared
  STRONG_LEVEL = 1, // Metrical level of a place where an arrival may be plain
};

const QfLink*
qf_arrival_link(const QfCadenceArrival* const arrival, const size_t index)
{
  return &arrival->labels->links[index];
}

bool
qf_arrival_has_role(const QfCadenceArrival* const arrival, const size_t index, const QfRole role)
{
  return qf_link_entry(arrival->labelling, qf_arrival_link(arrival, index))->role == role;
}

bool
qf_arrival_is_degree(const QfCadenceArrival* const arrival, const size_t index, const int degree)
{
  const QfNumeral* const numeral = &arrival->labels->labels[index].numeral;

  return arrival->labels->labels[index].is_known && numeral->form == QF_NUMERAL_ROMAN &&
         numeral->degree == degree && numeral->alter == 0 && numeral->n_targets == 0;
}

bool
qf_arrival_is_root_dominant(const QfCadenceArrival* const arrival, const size_t index)
{
  const QfLink* const link = qf_arrival_link(arrival, index);

  return link->is_dominant && link->root == link->dominant && link->inversion == 0;
}

int
qf_arrival_soprano(const QfCadenceArrival* const arrival)
{
  const QfPassage* const passage = &arrival->labelling->passage;
  const QfTime           end     = arrival->labels->labels[arrival->arrival].end;
  const QfLink* const    link    = qf_arrival_link(arrival, arrival->arrival);
  const QfSlice*         slice   = qf_passage_slice_at(passage, arrival->at);
  const QfPitch          top     = slice->notes[slice->n_notes - 1].pitch;
  const QfSlice* const   last    = &passage->slices.slices[passage->slices.n_slices - 1];

  for (; slice <= last && qf_time_compare(slice->start, end) < 0; ++slice) {
    const QfPitch pitch = slice->notes[slice->n_notes ? slice->n_notes - 1 : 0].pitch;

    if (slice->n_notes && qf_link_has_pitch(arrival->labelling, link, pitch)) {
      return qf_note_name_fifths(qf_pitch_name(pitch));
    }
  }
  return qf_note_name_fifths(qf_pitch_name(top));
}

static QfTime
length_of(const QfLabel* const label)
{
  return qf_time_sub(label->end, label->start);
}

static bool
is_strong(const QfCadenceArrival* const arrival)
{
  const QfTime start = arrival->labels->labels[arrival->first].start;

  return qf_score_level_at(arrival->labelling->passage.score, start) <= STRONG_LEVEL;
}

/// True if the harmony of arrival outlasts the chords before it
static bool
is_long(const QfCadenceArrival* const arrival)
{
  const QfLabel* const labels = arrival->labels->labels;
  const QfTime length = qf_time_sub(labels[arrival->arrival].end, labels[arrival->first].start);

  for (size_t i = 1; i <= LONG_CONTEXT; ++i) {
    if (arrival->first < i) {
      return false;
    }

    const QfTime before =
      qf_time_mul(length_of(&labels[arrival->first - i]), qf_time(LONG_FACTOR, 1));

    if (qf_time_compare(length, before) < 0) {
      return false;
    }
  }
  return true;
}

static bool
ends_with_repeat(const QfCadenceArrival* const arrival)
{
  const QfScore* const score = arrival->labelling->passage.score;
  const QfLabel* const label = &arrival->labels->labels[arrival->arrival];
  const QfBar* const   bar   = qf_score_get_bar(score, qf_score_bar_at(score, label->start));

  return bar->ends_repeat && qf_time_compare(qf_time_add(bar->start, bar->length), label->end) <= 0;
}

QfPhraseEnd
qf_arrival_phrase_end(const QfCadenceArrival* const arrival)
{
  const QfLabels* const labels = arrival->labels;
  const size_t          next   = arrival->arrival + 1;
  const size_t          first  = arrival->first;
  const bool            is_end =
    qf_arrival_is_degree(arrival, first, 1) || qf_arrival_is_degree(arrival, first, 6);

  if (next == labels->n_links) {
    return QF_END_PASSAGE;
  }
  if (labels->links[next].is_after_rest) {
    return QF_END_REST;
  }
  if (ends_with_repeat(arrival)) {
    return QF_END_REPEAT;
  }
  if (is_end && first > 1 && qf_arrival_is_root_dominant(arrival, first - 1) &&
      is_strong(arrival) && qf_arrival_has_role(arrival, first - 2, QF_ROLE_CADENTIAL)) {
    return QF_END_SIX_FOUR;
  }
  return is_strong(arrival) && is_long(arrival) ? QF_END_LONG : QF_END_NONE;
}
