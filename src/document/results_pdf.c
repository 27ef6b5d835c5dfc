// SPDX-License-Identifier: MIT
#include "results_impl.h"

#include "quintfall/report.h"
#include "quintfall/text.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static void
add_layer(QfText* const text, const QfGrade* const grade, const QfLayer layer)
{
  qf_text_addf(text, "%s: %.4g of %.4g", qf_layer_name(layer),
               qf_grade_get_layer_points(grade, layer), qf_grade_get_layer_possible(grade, layer));
}

/// Paragraphs that own their texts
typedef struct {
  QfParagraph* items;
  char**       texts;
  size_t       n_items;
  size_t       capacity;
} Paragraphs;

/// Append a paragraph (takes the text); false if memory ran out
static bool
add_paragraph(Paragraphs* const paragraphs, const QfReportStyle style, char* const text)
{
  if (!text || paragraphs->n_items == paragraphs->capacity) {
    free(text);
    return false;
  }
  paragraphs->texts[paragraphs->n_items]   = text;
  paragraphs->items[paragraphs->n_items++] = (QfParagraph){style, text};
  return true;
}

static bool
add_layer_paragraphs(Paragraphs* const paragraphs, const QfGrade* const grade, const QfLayer layer)
{
  QfText heading = {0};
  add_layer(&heading, grade, layer);
  bool   is_ok     = add_paragraph(paragraphs, QF_REPORT_HEADING, qf_text_take(&heading));
  size_t n_reasons = 0;
  for (size_t i = 0; is_ok && i < qf_grade_n_verdicts(grade); ++i) {
    const QfVerdict* const verdict = qf_grade_get_verdict(grade, i);
    if (verdict->layer == layer && verdict->reason[0]) {
      is_ok = add_paragraph(paragraphs, QF_REPORT_ITEM, strdup(verdict->reason));
      ++n_reasons;
    }
  }
  return is_ok && (n_reasons || add_paragraph(paragraphs, QF_REPORT_TEXT, strdup("All right.")));
}

static bool
add_comments(Paragraphs* const paragraphs, const QfResults* const list, const QfResult* const item)
{
  bool is_ok =
    add_paragraph(paragraphs, QF_REPORT_TITLE, strdup(qf_result_name(item))) &&
    add_paragraph(paragraphs, QF_REPORT_TEXT, strdup(qf_answer_get_title(item->answer))) &&
    add_paragraph(paragraphs, QF_REPORT_TEXT, qf_result_summary(list, item));
  for (size_t i = 0; is_ok && i < qf_grade_n_remarks(item->grade); ++i) {
    is_ok = add_paragraph(paragraphs, QF_REPORT_TEXT, strdup(qf_grade_get_remark(item->grade, i)));
  }
  for (int l = 0; is_ok && l < QF_LAYER_N_KINDS; ++l) {
    if (qf_grade_has_layer(item->grade, (QfLayer)l)) {
      is_ok = add_layer_paragraphs(paragraphs, item->grade, (QfLayer)l);
    }
  }
  return is_ok;
}

static QfStatus
write_pdf(const QfResults* const list,
          const QfResult* const  item,
          const char* const      path,
          QfError* const         error)
{
  enum { OTHER_PARAGRAPHS = 32 };

  const size_t capacity   = qf_grade_n_verdicts(item->grade) + OTHER_PARAGRAPHS;
  Paragraphs   paragraphs = {.capacity = capacity};
  paragraphs.items        = (QfParagraph*)calloc(capacity, sizeof(QfParagraph));
  paragraphs.texts        = (char**)calloc(capacity, sizeof(char*));
  const bool is_ok  = paragraphs.items && paragraphs.texts && add_comments(&paragraphs, list, item);
  const QfStatus st = is_ok ? qf_report_export(paragraphs.items, paragraphs.n_items,
                                               qf_result_name(item), path, error)
                            : qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
  for (size_t i = 0; i < paragraphs.n_items; ++i) {
    free(paragraphs.texts[i]);
  }
  free(paragraphs.texts);
  free(paragraphs.items);
  return st;
}

QfStatus
qf_results_write_pdfs(const QfResults* const results,
                      const char* const      folder,
                      QfError* const         error)
{
  QfStatus result = QF_OK;
  if (mkdir(folder, 0777) && errno != EEXIST) {
    return qf_error_set(error, QF_ERR_IO, "%s: %s", folder, strerror(errno));
  }
  for (size_t i = 0; i < results->n_items; ++i) {
    const char* const name = result_base_name(results->items[i].path);
    const char* const dot  = strrchr(name, '.');
    const int         stem = dot && dot > name ? (int)(dot - name) : (int)strlen(name);
    char*             path = NULL;
    if (asprintf(&path, "%s/%.*s.pdf", folder, stem, name) < 0) {
      return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
    }
    // One page that cannot be written leaves the others; the first fault is told.
    const QfStatus st = write_pdf(results, &results->items[i], path, result ? NULL : error);
    result            = result ? result : st;
    free(path);
  }
  return result;
}
