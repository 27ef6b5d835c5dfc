// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_REPORT_H
#define QUINTFALL_REPORT_H

#include "quintfall/status.h"

#include <stddef.h>

/// How a paragraph of a report is set
typedef enum {
  QF_REPORT_TITLE,
  QF_REPORT_HEADING,
  QF_REPORT_TEXT,
  QF_REPORT_ITEM, ///< Indented, with a dash
} QfReportStyle;

typedef struct {
  QfReportStyle style;
  const char*   text; ///< UTF-8; longer than a line it is broken
} QfParagraph;

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
