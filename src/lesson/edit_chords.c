// SPDX-License-Identifier: MIT
#include "lesson_impl.h"

#include <stdlib.h>
#include <string.h>

static QfTime
note_end(const QfNote* const note)
{
  return qf_time_add(note->start, note->duration);
}

/// The note of a voice that sounds right up to a time, or NULL
static const QfNote*
note_before(const QfScore* const score, const size_t voice, const QfTime time)
{
  size_t low  = 0;
  size_t high = qf_score_n_notes(score, voice);
  while (low < high) {
    const size_t middle = low + (high - low) / 2U;
    if (qf_time_compare(qf_score_get_note(score, voice, middle)->start, time) < 0) {
      low = middle + 1U;
    } else {
      high = middle;
    }
  }

  const QfNote* const note = low ? qf_score_get_note(score, voice, low - 1U) : NULL;
  return note && qf_time_compare(note_end(note), time) >= 0 ? note : NULL;
}

/// The note of a voice that begins at a time, or NULL
static const QfNote*
note_after(const QfScore* const score, const size_t voice, const QfTime time)
{
  const QfNote* const note = qf_score_note_at(score, voice, time);
  return note && !qf_time_compare(note->start, time) ? note : NULL;
}

/// The voicing next to a time on one side; false unless all four voices sound there
static bool
find_voicing(const QfScore* const score,
             const QfTime         time,
             const QfNote* (*find)(const QfScore*, size_t, QfTime),
             QfVoicing* const result)
{
  for (size_t v = 0; v < QF_SATB; ++v) {
    const QfNote* const note = find(score, v, time);
    if (!note) {
      return false;
    }
    result->pitch[v] = note->pitch;
  }
  return true;
}

static QfStatus
realise(const State* const  state,
        const QfLink* const links,
        const size_t        n_links,
        QfVoicing* const    voicings,
        QfError* const      error)
{
  const QfLink* const last   = &links[n_links - 1U];
  const QfTime        end    = qf_time_add(last->start, last->duration);
  QfVoicing           before = {0};
  QfVoicing           after  = {0};

  const bool has_before = find_voicing(state->score, links[0].start, note_before, &before);
  const bool has_after  = find_voicing(state->score, end, note_after, &after);

  const QfRealiseOptions options = {has_before ? &before : NULL, has_after ? &after : NULL, NULL,
                                    0};
  return qf_realise(links, n_links, options, voicings, error);
}

/// Pin the links that the labels would read otherwise
static QfStatus
pin_links(State* const state, const QfLink* const links, const size_t n_links)
{
  for (size_t i = 0; i < n_links; ++i) {
    state_remove_pins(state, links[i].start, qf_time_add(links[i].start, links[i].duration));
  }

  QfLabels* labels = NULL;
  QfStatus  st     = qf_labels_new(state->score, state_label_options(state), &labels, NULL);
  for (size_t i = 0; !st && i < n_links; ++i) {
    const size_t         index = qf_labels_link_at(labels, links[i].start);
    const QfLabel* const label = index == SIZE_MAX ? NULL : qf_labels_get_link(labels, index);
    if (!label || !label->is_known || !qf_key_equals(label->key, links[i].key) ||
        !qf_numeral_equals(&label->numeral, &links[i].numeral)) {
      st = state_put_pin(state, (QfPin){links[i].start, links[i].key, links[i].numeral});
    }
  }
  qf_labels_free(labels);
  return st;
}

static QfStatus
check_links(const State* const  state,
            const QfLink* const links,
            const size_t        n_links,
            QfError* const      error)
{
  if (qf_score_n_voices(state->score) < QF_SATB) {
    return qf_error_set(error, QF_ERR_UNSUPPORTED,
                        "a chord is written in four voices; this lesson has fewer");
  }
  for (size_t i = 0; i < n_links; ++i) {
    if (links[i].start.num < 0 || links[i].duration.num <= 0) {
      return qf_error_set(error, QF_ERR_RANGE,
                          "chord %zu needs a start in the piece and a length above zero", i + 1U);
    }
  }
  return n_links ? QF_OK : qf_error_set(error, QF_ERR_RANGE, "there is no chord to place");
}

static QfStatus
place(State* const state, const QfLink* const links, const size_t n_links, QfError* const error)
{
  QfStatus st = check_links(state, links, n_links, error);
  if (st) {
    return st;
  }

  QfVoicing* const voicings = (QfVoicing*)calloc(n_links, sizeof(QfVoicing));
  if (!voicings) {
    return QF_ERR_NO_MEM;
  }

  st = realise(state, links, n_links, voicings, error);
  st = st ? st : qf_realise_into(state->score, links, n_links, voicings);
  st = st ? st : pin_links(state, links, n_links);
  free(voicings);
  return st;
}

QfStatus
qf_lesson_place_chord(QfLesson* const        lesson,
                      const QfTime           start,
                      const QfTime           duration,
                      const QfKey            key,
                      const QfNumeral* const numeral,
                      QfError* const         error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  const QfLink   link  = {key, *numeral, start, duration};
  return st ? st
            : lesson_end_edit(lesson, state, "Place a chord", place(state, &link, 1, error), error);
}

QfStatus
qf_lesson_place_chords(QfLesson* const     lesson,
                       const QfLink* const links,
                       const size_t        n_links,
                       QfError* const      error)
{
  State*         state = NULL;
  const QfStatus st    = lesson_begin_edit(lesson, &state, error);
  return st ? st
            : lesson_end_edit(lesson, state, "Place chords", place(state, links, n_links, error),
                              error);
}
