// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_REPORT_H
#define QUINTFALL_REPORT_H

#include "quintfall/engrave.h"

#include <stddef.h>

/// How a paragraph of a report is set
typedef enum {
  QF_REPORT_TITLE,
  QF_REPORT_HEADING,
  QF_REPORT_TEXT,
  QF_REPORT_ITEM,   ///< Indented, with a dash or the mark given
  QF_REPORT_FIGURE, ///< An engraving; the text stands over it, if there is one
} QfReportStyle;

typedef struct {
  QfReportStyle style;
  const char*   text; ///< UTF-8; longer than a line it is broken
  const char*   mark; ///< Before an item, "12"; NULL for a dash
  /// Laid out with qf_report_figure_options(); only of a figure
  const QfEngraving* figure;
} QfParagraph;

/// As wide as a report's text; in pages where one would not hold the whole
QfEngraveOptions
qf_report_figure_options(bool is_in_pages);

/// True if a figure that is not laid out in pages would not fit on one
bool
qf_report_is_too_high(const QfEngraving* engraving);

/**
   Write paragraphs as a PDF of A4 pages, atomically.

   @param title Of the document, for its metadata.
   @return #QF_ERR_IO with what the system said, or #QF_ERR_NO_MEM.
*/
QfStatus
qf_report_export(const QfParagraph* paragraphs,
                 size_t             n_paragraphs,
                 const char*        title,
                 const char*        path,
                 QfError*           error);

#endif // QUINTFALL_REPORT_H
