// SPDX-License-Identifier: MIT
// What a student gets back: the answer with its faults marked, and a reason for each.
#include "comments.h"

#include "quintfall/overlay.h"
#include "quintfall/report.h"
#include "quintfall/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  OTHER_PARAGRAPHS = 40,
  N_FIGURES        = 2,
  MARK_SIZE        = 8,
};

/// Comments as they are put together
typedef struct {
  const QfResults* list;
  const QfResult*  item;
  QfLesson*        lesson;
  QfCommentsKind   kind;
  QfParagraph*     paragraphs;
  char**           texts; ///< Owned, of the paragraphs
  char (*marks)[MARK_SIZE];
  size_t       n_paragraphs;
  size_t       capacity;
  uint16_t*    numbers; ///< By verdict
  QfEngraving* figures[N_FIGURES];
  size_t       n_figures;
} Comments;

/// Append a paragraph (takes the text)
static QfStatus
add(Comments* const comments, const QfReportStyle style, char* const text)
{
  if (!text || comments->n_paragraphs == comments->capacity) {
    free(text);
    return QF_ERR_NO_MEM;
  }
  comments->texts[comments->n_paragraphs]        = text;
  comments->paragraphs[comments->n_paragraphs++] = (QfParagraph){.style = style, .text = text};
  return QF_OK;
}

// ---- numbers

/// True if a layer was left empty, so that there is nothing to say of each note
static bool
is_empty(const QfGrade* const grade, const QfLayer layer)
{
  size_t n = 0;
  for (size_t i = 0; i < qf_grade_n_verdicts(grade); ++i) {
    const QfVerdict* const verdict = qf_grade_get_verdict(grade, i);
    if (verdict->layer == layer && verdict->kind != QF_VERDICT_MISSING) {
      return false;
    }
    n += verdict->layer == layer;
  }
  return n > 0;
}

/// Number what lost points in the order in which it is told
static void
number_verdicts(Comments* const comments)
{
  const QfGrade* const grade = comments->item->grade;
  uint16_t             n     = 0;
  for (int l = 0; l < QF_LAYER_N_KINDS; ++l) {
    for (size_t i = 0; i < qf_grade_n_verdicts(grade); ++i) {
      const QfVerdict* const verdict = qf_grade_get_verdict(grade, i);
      if (verdict->layer == (QfLayer)l && verdict->reason[0] && !is_empty(grade, verdict->layer) &&
          n < UINT16_MAX) {
        comments->numbers[i] = ++n;
      }
    }
  }
}

// ---- the page

static QfStatus
add_figure(Comments* const comments, QfEngraving* const figure, const char* const words)
{
  const QfStatus st = add(comments, QF_REPORT_FIGURE, strdup(words));
  if (st) {
    qf_engraving_free(figure);
    return st;
  }
  comments->figures[comments->n_figures++]                 = figure;
  comments->paragraphs[comments->n_paragraphs - 1U].figure = figure;
  return QF_OK;
}

static QfStatus
add_page(Comments* const           comments,
         const QfComparison* const comparison,
         const QfOverlayPages      pages,
         const char* const         words,
         QfError* const            error)
{
  const QfOverlayOptions overlay = {.pages = pages, .is_plain = true, .numbers = comments->numbers};
  QfEngraving*           figure  = NULL;
  QfStatus               st =
    qf_overlay_new(comparison, overlay, qf_report_figure_options(false), &figure, error);
  if (!st && qf_report_is_too_high(figure)) {
    qf_engraving_free(figure);
    st = qf_overlay_new(comparison, overlay, qf_report_figure_options(true), &figure, error);
  }
  return st ? st : add_figure(comments, figure, words);
}

static QfStatus
add_pages(Comments* const comments, QfError* const error)
{
  const QfResult* const item = comments->item;
  const QfTry* const    attempt =
    item->attempt ? qf_answer_get_attempt(item->answer, item->attempt - 1U) : NULL;
  const bool    is_solved  = comments->kind == QF_COMMENTS_SOLVED;
  QfComparison* comparison = NULL;
  QfStatus      st         = QF_OK;
  if (!attempt && !is_solved) {
    return QF_OK; // There is nothing to show.
  }
  st = qf_comparison_new(comments->lesson, attempt, item->grade, &comparison, error);
  if (!st && attempt) {
    st = add_page(comments, comparison, QF_OVERLAY_THEIRS, "Your answer", error);
  }
  if (!st && is_solved) {
    st = add_page(comments, comparison, QF_OVERLAY_PASSAGE, "The passage", error);
  }
  if (!st && attempt) {
    st = add(comments, QF_REPORT_TEXT,
             strdup("What is ringed or framed differs from the passage, what is struck through is "
                    "too many. The numbers lead to the reasons below; where one stands over "
                    "nothing, something is missing."));
  }
  qf_comparison_free(comparison);
  return st;
}

// ---- the reasons

/// Where points were lost and by what kind of fault, without what should stand there
static char*
veiled_reason(const Comments* const comments, const QfVerdict* const verdict)
{
  const unsigned faults = verdict->faults | verdict->following;
  QfText         text   = {0};
  char           place[48];
  int            n = 0;
  qf_score_write_place(qf_lesson_get_score(comments->lesson), verdict->start, place, sizeof(place));
  if (verdict->layer == QF_LAYER_INNER) {
    const QfScore* const score = qf_lesson_get_score(comments->lesson);
    qf_text_addf(&text, "%s, %s: ", place, qf_score_get_voice(score, verdict->voice)->name);
  } else {
    qf_text_addf(&text, "%s: ", place);
  }
  for (int a = 0; a < QF_ASPECT_N_KINDS; ++a) {
    if (faults & (1U << (unsigned)a)) {
      qf_text_addf(&text, "%s%s", n++ ? ", " : "", qf_aspect_name((QfAspect)a));
    }
  }
  qf_text_add(&text, verdict->kind == QF_VERDICT_MISSING ? "missing"
                     : verdict->kind == QF_VERDICT_EXTRA ? "too many"
                                                         : "");
  qf_text_addf(&text, " (\u2212%.4g)", verdict->possible - verdict->points);
  return qf_text_take(&text);
}

static QfStatus
add_reason(Comments* const comments, const size_t index)
{
  const QfVerdict* const verdict   = qf_grade_get_verdict(comments->item->grade, index);
  const size_t           place     = comments->n_paragraphs;
  const bool             is_solved = comments->kind == QF_COMMENTS_SOLVED;
  char* const    reason = is_solved ? strdup(verdict->reason) : veiled_reason(comments, verdict);
  const QfStatus st     = add(comments, QF_REPORT_ITEM, reason);
  if (!st) {
    snprintf(comments->marks[place], MARK_SIZE, "%u", comments->numbers[index]);
    comments->paragraphs[place].mark = comments->marks[place];
  }
  return st;
}

static QfStatus
add_layer(Comments* const comments, const QfLayer layer)
{
  const QfGrade* const grade     = comments->item->grade;
  QfText               heading   = {0};
  size_t               n_reasons = 0;
  qf_text_addf(&heading, "%s: %.4g of %.4g", qf_layer_name(layer),
               qf_grade_get_layer_points(grade, layer), qf_grade_get_layer_possible(grade, layer));
  if (heading.data) {
    heading.data[0] =
      (char)(heading.data[0] >= 'a' && heading.data[0] <= 'z' ? heading.data[0] - 'a' + 'A'
                                                              : heading.data[0]);
  }

  QfStatus st = add(comments, QF_REPORT_HEADING, qf_text_take(&heading));
  if (!st && is_empty(grade, layer)) {
    return add(comments, QF_REPORT_TEXT, strdup("Nothing is written."));
  }
  for (size_t i = 0; !st && i < qf_grade_n_verdicts(grade); ++i) {
    if (comments->numbers[i] && qf_grade_get_verdict(grade, i)->layer == layer) {
      st = add_reason(comments, i);
      ++n_reasons;
    }
  }
  return st || n_reasons ? st : add(comments, QF_REPORT_TEXT, strdup("All right."));
}

static QfStatus
add_all(Comments* const comments, QfError* const error)
{
  const QfResult* const item = comments->item;
  QfStatus              st   = add(comments, QF_REPORT_TITLE, strdup(qf_result_name(item)));
  st = st ? st : add(comments, QF_REPORT_TEXT, strdup(qf_answer_get_title(item->answer)));
  st = st ? st : add(comments, QF_REPORT_TEXT, qf_result_summary(comments->list, item));
  for (size_t i = 0; !st && i < qf_grade_n_remarks(item->grade); ++i) {
    st = add(comments, QF_REPORT_TEXT, strdup(qf_grade_get_remark(item->grade, i)));
  }
  st = st ? st : add_pages(comments, error);
  for (int l = 0; !st && l < QF_LAYER_N_KINDS; ++l) {
    if (qf_grade_has_layer(item->grade, (QfLayer)l)) {
      st = add_layer(comments, (QfLayer)l);
    }
  }
  return st;
}

static void
clear(Comments* const comments)
{
  for (size_t i = 0; i < comments->n_paragraphs; ++i) {
    free(comments->texts[i]);
  }
  for (size_t i = 0; i < comments->n_figures; ++i) {
    qf_engraving_free(comments->figures[i]);
  }
  free(comments->paragraphs);
  free(comments->texts);
  free(comments->marks);
  free(comments->numbers);
}

QfStatus
comments_write(const QfResults* const list,
               const QfResult* const  item,
               QfLesson* const        lesson,
               const QfCommentsKind   kind,
               const char* const      path,
               QfError* const         error)
{
  const size_t n        = qf_grade_n_verdicts(item->grade);
  const size_t capacity = n + qf_grade_n_remarks(item->grade) + OTHER_PARAGRAPHS;
  Comments     comments = {
        .list = list, .item = item, .lesson = lesson, .kind = kind, .capacity = capacity};
  comments.paragraphs = (QfParagraph*)calloc(capacity, sizeof(QfParagraph));
  comments.texts      = (char**)calloc(capacity, sizeof(char*));
  comments.marks      = (char(*)[MARK_SIZE])calloc(capacity, MARK_SIZE);
  comments.numbers    = (uint16_t*)calloc(n ? n : 1U, sizeof(uint16_t));

  QfStatus st = QF_ERR_NO_MEM;
  if (comments.paragraphs && comments.texts && comments.marks && comments.numbers) {
    number_verdicts(&comments);
    st = add_all(&comments, error);
  }
  st = st == QF_ERR_NO_MEM ? qf_error_set(error, st, "out of memory") : st;
  if (!st) {
    st = qf_report_export(comments.paragraphs, comments.n_paragraphs, qf_result_name(item), path,
                          error);
  }
  clear(&comments);
  return st;
}
