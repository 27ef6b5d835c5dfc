// SPDX-License-Identifier: MIT
#include "lesson_impl.h"
#include "pin_links.h"
#include "writing_around.h"

#include <stdlib.h>
#include <string.h>

/// Say which given notes clash even when everything else is allowed
static QfStatus
report_clash(const Around* const around,
             const QfLink* const links,
             const size_t        n_links,
             QfError* const      error)
{
  QfWriteOptions options  = around_options(around, QF_PROFILE_FREE);
  QfWritings     writings = {0};
  QfClash        clash    = {0};
  options.may_join_badly  = true;
  const QfStatus st       = qf_write(links, n_links, options, &writings, &clash, error);
  qf_writings_clear(&writings);
  return st == QF_ERR_IMPOSSIBLE && clash.n_kept ? around_report(around, &clash, error) : st;
}

static QfStatus
realise(const State* const  state,
        const QfLink* const links,
        const size_t        n_links,
        QfVoicing* const    voicings,
        QfError* const      error)
{
  Around   around = {0};
  QfStatus st     = around_find(state, links, n_links, QF_SATB, 0, true, &around);
  if (st) {
    return qf_error_set(error, st, "out of memory");
  }
  QfVoicing before = {0};
  QfVoicing after  = {0};
  memcpy(before.pitch, around.before, sizeof(before.pitch));
  memcpy(after.pitch, around.after, sizeof(after.pitch));
  const QfRealiseOptions options = {around.has_before ? &before : NULL,
                                    around.has_after ? &after : NULL, around.kept, around.n_kept};

  st = qf_realise(links, n_links, options, voicings, error);
  if (st == QF_ERR_IMPOSSIBLE && around.n_kept) {
    st = report_clash(&around, links, n_links, error);
  }
  around_clear(&around);
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

/// Write voicings into what is free in the links' time, and pin the links where that is needed
static QfStatus
put_chords(QfLesson* const        lesson,
           State* const           state,
           const QfLink* const    links,
           const size_t           n_links,
           const QfVoicing* const voicings,
           const uint32_t         kept_voices)
{
  QfStatus st = around_write(state, links, n_links, QF_SATB, kept_voices, voicings[0].pitch);
  for (size_t i = 0; !st && i < n_links; ++i) {
    state_remove_pins(state, links[i].start, qf_time_add(links[i].start, links[i].duration));
  }
  return st ? st : pin_links(lesson, state, links, n_links);
}

static QfStatus
place(QfLesson* const     lesson,
      State* const        state,
      const QfLink* const links,
      const size_t        n_links,
      QfError* const      error)
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
  st = st ? st : put_chords(lesson, state, links, n_links, voicings, 0);
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
            : lesson_end_edit(lesson, state, "Place a chord", place(lesson, state, &link, 1, error),
                              error);
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
            : lesson_end_edit(lesson, state, "Place chords",
                              place(lesson, state, links, n_links, error), error);
}

QfStatus
qf_lesson_place_voicings(QfLesson* const        lesson,
                         const QfLink* const    links,
                         const QfVoicing* const voicings,
                         const size_t           n_links,
                         const uint32_t         kept_voices,
                         QfError* const         error)
{
  State*   state = NULL;
  QfStatus st    = lesson_begin_edit(lesson, &state, error);
  if (st) {
    return st;
  }
  st = check_links(state, links, n_links, error);
  st = st ? st : put_chords(lesson, state, links, n_links, voicings, kept_voices);
  return lesson_end_edit(lesson, state, n_links == 1 ? "Place a chord" : "Place chords", st, error);
}
