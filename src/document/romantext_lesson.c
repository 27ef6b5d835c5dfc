// SPDX-License-Identifier: MIT
#include "romantext_lesson.h"

#include "quintfall/realise.h"

#include <stdio.h>
#include <stdlib.h>

/**
   What RomanText counts as a beat: the dotted note in compound time, otherwise
   the denominator's note.

   Rule: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019.
*/
static QfTime
counted_beat(const QfMetre metre)
{
  bool is_compound = true;
  for (int i = 0; i < metre.n_groups; ++i) {
    is_compound = is_compound && metre.groups[i] == 3;
  }
  return qf_time(is_compound ? 3 : 1, metre.denominator);
}

/// Where a beat stands in the full bar
static QfTime
position_of(const QfMetre metre, const QfTime beat)
{
  return qf_time_mul(qf_time_sub(beat, qf_time(1, 1)), counted_beat(metre));
}

/// The last time signature that stands before a measure, or else the first of all
static QfMetre
metre_of(const QfRomanText* const roman, const int measure)
{
  QfMetre metre = roman->metre;
  for (size_t i = 0; i < roman->n_lines; ++i) {
    const QfRomanLine* const line = &roman->lines[i];
    if (line->kind == QF_ROMAN_METRE && line->measure < measure) {
      metre = line->metre;
    }
  }
  return metre;
}

static QfStatus
out_of_place(const QfRomanChord* const chord, const char* const words, QfError* const error)
{
  qf_error_set(error, QF_ERR_BAD_FILE, "%s", words);
  qf_error_place(error, 0, chord->measure, NULL);
  return QF_ERR_BAD_FILE;
}

/// Append the measure of a chord, and those before it that have no chord of their own
static QfStatus
append_measures(const QfRomanText* const  roman,
                const QfRomanChord* const chord,
                QfScore* const            score,
                QfError* const            error)
{
  const size_t n_bars   = qf_score_n_bars(score);
  const bool   is_first = n_bars == 0;
  const int    last     = is_first ? chord->measure : qf_score_get_bar(score, n_bars - 1U)->number;
  if (chord->measure < last) {
    return out_of_place(
      chord, "a chord stands before the one above it; write the chords in order of time", error);
  }

  QfStatus st = QF_OK;
  for (int number = chord->measure == last ? last : last + 1; !st && number <= chord->measure;
       ++number) {
    const QfMetre metre = metre_of(roman, number);
    QfBar         bar   = {.number = number, .metre = metre, .offset = QF_TIME_ZERO};
    bar.suffix          = number == chord->measure ? chord->suffix : '\0';
    if (is_first && number == 0) {
      bar.offset = position_of(metre, chord->beat); // A pickup counts as if its bar were full
    }
    bar.length = qf_time_sub(qf_metre_bar(metre), bar.offset);
    if (bar.length.num <= 0) {
      return out_of_place(
        chord,
        "the pickup's first beat lies beyond its measure; expected one of the time signature's",
        error);
    }
    st = qf_score_append_bar(score, bar);
  }
  if (st == QF_ERR_RANGE) {
    char text[80];
    snprintf(text, sizeof(text), "there are more than %d measures up to here; expected fewer",
             QF_MAX_BARS);
    return out_of_place(chord, text, error);
  }
  return st;
}

/// Turn chords into links and append their bars; a pivot's later reading replaces the earlier
static QfStatus
links_of(const QfRomanText* const roman,
         QfScore* const           score,
         QfLink* const            links,
         size_t* const            n_links,
         QfError* const           error)
{
  size_t n = 0;
  for (size_t i = 0; i < roman->n_chords; ++i) {
    const QfRomanChord* const chord  = &roman->chords[i];
    const QfRomanChord* const before = i ? chord - 1 : NULL;
    if (!before || before->measure != chord->measure || before->suffix != chord->suffix) {
      const QfStatus st = append_measures(roman, chord, score, error);
      if (st) {
        return st;
      }
    }

    const QfBar* const bar    = qf_score_get_bar(score, qf_score_n_bars(score) - 1U);
    const QfTime       within = qf_time_sub(position_of(bar->metre, chord->beat), bar->offset);
    const QfTime       start  = qf_time_add(bar->start, within);
    const int          order  = n ? qf_time_compare(start, links[n - 1].start) : 1;
    if (order < 0) {
      return out_of_place(
        chord, "a chord stands before the one above it; write the chords in order of time", error);
    }
    if (qf_time_compare(within, bar->length) >= 0) {
      return out_of_place(
        chord, "a chord's beat lies beyond its measure; expected one of the time signature's",
        error);
    }

    n -= (order == 0);
    links[n] = (QfLink){chord->key, chord->numeral, start, QF_TIME_ZERO};
    ++n;
  }

  const QfTime end = qf_score_get_end(score);
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
  QfStatus st = qf_lesson_set_key(lesson, &roman->chords[0].key, error);
  st          = st ? st : qf_lesson_place_chords(lesson, links, n_links, error);
  return st ? st : qf_lesson_pin_links(lesson, links, n_links, error);
}

/// A four-part score without bars, and with the titles
static QfScore*
new_score(const QfRomanText* const roman)
{
  QfScore* const score = qf_score_new_satb(roman->chords[0].key, roman->metre, QF_TIME_ZERO, 0);
  if (score &&
      (qf_score_set_title(score, roman->title) || qf_score_set_composer(score, roman->composer))) {
    qf_score_free(score);
    return NULL;
  }
  return score;
}

QfStatus
lesson_from_romantext(const QfRomanText* const roman, QfLesson** const result, QfError* const error)
{
  if (!roman->n_chords) {
    return qf_error_set(error, QF_ERR_BAD_FILE,
                        "the analysis holds no chord; expected lines such"
                        " as \"m1 C: I b2 V\"");
  }

  QfLink* const links = (QfLink*)calloc(roman->n_chords, sizeof(QfLink));
  QfScore*      score = new_score(roman);
  if (!links || !score) {
    free(links);
    qf_score_free(score);
    return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  }

  size_t   n_links = 0;
  QfStatus st      = links_of(roman, score, links, &n_links, error);
  if (st) {
    qf_score_free(score);
    free(links);
    return st;
  }

  QfLesson* const lesson = qf_lesson_new_from_score(score);
  st                     = lesson ? fill(lesson, roman, links, n_links, error)
                                  : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  free(links);
  if (st) {
    qf_lesson_free(lesson);
    return st;
  }
  qf_lesson_forget_history(lesson);
  *result = lesson;
  return QF_OK;
}
