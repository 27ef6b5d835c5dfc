// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_DOCUMENT_COMMENTS_H
#define QUINTFALL_SRC_DOCUMENT_COMMENTS_H

#include "quintfall/results.h"

/// Write the comments on one answer as a PDF
QfStatus
comments_write(const QfResults* list,
               const QfResult*  item,
               QfLesson*        lesson,
               QfCommentsKind   kind,
               const char*      path,
               QfError*         error);

#endif // QUINTFALL_SRC_DOCUMENT_COMMENTS_H
