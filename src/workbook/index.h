// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_WORKBOOK_INDEX_H
#define QUINTFALL_SRC_WORKBOOK_INDEX_H

#include "quintfall/workbook.h"

/// What a set holds, as it grows
typedef struct IndexImpl Index;

/// (transfer full) NULL if out of memory
Index*
index_new(const QfWorkbookOptions* options);

void
index_free(Index* index);

/// Add an exercise that is complete, with the names of its files, NULL at their end
QfStatus
index_add(Index* index, const QfExercise* exercise, const char* const* files, QfError* error);

/// Write the index as JSON, atomically
QfStatus
index_write(const Index* index, const char* path, QfError* error);

#endif // QUINTFALL_SRC_WORKBOOK_INDEX_H
