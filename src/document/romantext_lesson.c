// SPDX-License-Identifier: MIT
#include "romantext_lesson.h"

#include "quintfall/realise.h"

#include <stdlib.h>

/// Length of `beats` whole or broken beats of a metre from the start of a bar
static QfTime
beats_to_time(const QfMetre metre, const QfTime beats)
{
  return qf_time_mul(beats, qf_metre_beat(metre));
}

/// First and last measure that hold chords
typedef struct {
  int    first;
  int    last;
  QfTime pickup; ///< Length of the bar before measure 1, or zero
} Extent;

static Extent
extent_of(const QfRomanText* const roman)
{
  Extent extent = {roman->chords[0].measure, roman->chords[0].measure, QF_TIME_ZERO};
  for (size_t i = 1; i < roman->n_chords; ++i) {
    if (roman->chords[i].measure > extent.last) {
      extent.last = roman->chords[i].measure;
    }
  }

  // A pickup's beats are counted as if its bar were full
  if (extent.first == 0) {
    const QfTime before = qf_time_sub(roman->chords[0].beat, qf_time(1, 1));
    extent.pickup = qf_time_sub(qf_metre_bar(roman->metre), beats_to_time(roman->metre, before));
  }

  return extent;
}

/// Where a chord begins, from the start of the first bar
static QfTime
start_of(const QfRomanText* const roman, const Extent extent, const QfRomanChord* const chord)
{
  const QfTime bar    = qf_metre_bar(roman->metre);
  const QfTime before = qf_time_sub(chord->beat, qf_time(1, 1));
  const QfTime within = beats_to_time(roman->metre, before);
  const int    first  = extent.first == 0 ? 1 : extent.first;
  const QfTime downbeat =
    qf_time_add(extent.pickup, qf_time_mul(bar, qf_time(chord->measure - first, 1)));

  return qf_time_add(downbeat, within);
}

/// Turn chords into links; a pivot's later reading replaces the earlier
static QfStatus
links_of(const QfRomanText* const roman,
         const Extent             extent,
         QfLink* const            links,
         size_t* const            n_links,
         QfError* const           error)
{
  size_t n = 0;
  for (size_t i = 0; i < roman->n_chords; ++i) {
    const QfRomanChord* const chord = &roman->chords[i];
    const QfTime              start = start_of(roman, extent, chord);
    const int                 order = n ? qf_time_compare(start, links[n - 1].start) : 1;
    if (order < 0) {
      qf_error_set(error, QF_ERR_BAD_FILE,
                   "a chord stands before the one above it; write the"
                   " chords in order of time");
      qf_error_place(error, 0, chord->measure, NULL);
      return QF_ERR_BAD_FILE;
    }

    n -= (order == 0);
    links[n] = (QfLink){chord->key, chord->numeral, start, QF_TIME_ZERO};
    ++n;
  }

  const int    first = extent.first == 0 ? 1 : extent.first;
  const QfTime end   = qf_time_add(
      extent.pickup, qf_time_mul(qf_metre_bar(roman->metre), qf_time(extent.last - first + 1, 1)));
  for (size_t i = 0; i < n; ++i) {
    links[i].duration = qf_time_sub(i + 1 < n ? links[i + 1].start : end, links[i].start);
  }

  *n_links = n;
  return QF_OK;
}

static QfStatus
fill(QfLesson* const          lesson,
     const QfRomanText* const roman,
     const QfLink* const      links,
     const size_t             n_links,
     QfError* const           error)
{
  QfStatus st = qf_lesson_place_chords(lesson, links, n_links, error);
  for (size_t i = 0; !st && i < n_links; ++i) {
    st = qf_lesson_pin(lesson, (QfPin){links[i].start, links[i].key, links[i].numeral}, error);
  }
  if (!st && roman->title[0]) {
    st = qf_lesson_set_title(lesson, roman->title, error);
  }
  if (!st && roman->composer[0]) {
    st = qf_lesson_set_composer(lesson, roman->composer, error);
  }

  return st;
}

QfStatus
lesson_from_romantext(const QfRomanText* const roman, QfLesson** const result, QfError* const error)
{
  if (!roman->n_chords) {
    return qf_error_set(error, QF_ERR_BAD_FILE,
                        "the analysis holds no chord; expected lines such"
                        " as \"m1 C: I b2 V\"");
  }

  const Extent  extent = extent_of(roman);
  QfLink* const links  = (QfLink*)calloc(roman->n_chords, sizeof(QfLink));
  if (!links) {
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  if (extent.last - extent.first >= QF_MAX_BARS) {
    free(links);
    return qf_error_set(error, QF_ERR_RANGE, "more than %d measures", QF_MAX_BARS);
  }

  size_t    n_links = 0;
  QfStatus  st      = links_of(roman, extent, links, &n_links, error);
  QfLesson* lesson  = NULL;
  if (!st) {
    const int first  = extent.first == 0 ? 1 : extent.first;
    const int n_bars = extent.last - first + 1;
    lesson           = qf_lesson_new(roman->chords[0].key, roman->metre, extent.pickup,
                           n_bars > 0 ? (size_t)n_bars : 1U);
    st               = lesson ? fill(lesson, roman, links, n_links, error)
                              : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  free(links);
  if (st) {
    qf_lesson_free(lesson);
    return st;
  }

  *result = lesson;
  return QF_OK;
}
