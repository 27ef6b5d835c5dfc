// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_WORKBOOK_CREW_H
#define QUINTFALL_SRC_WORKBOOK_CREW_H

#include "index.h"

/// What tells of the whole set
typedef struct {
  Index*     index;
  QfBooklet* worksheets; ///< Or NULL
  QfBooklet* answer_key; ///< Or NULL
} Ends;

/**
   Make the exercises of a set and write their files, several at a time.

   Exercises are made one after the other, since each must differ from all
   before; each is then written by the thread that took it. Index and booklets
   get those that are complete in the order of their numbers, so that nothing
   that is written depends on how many threads there are.

   @param[out] n_done Exercises complete.
   @return As qf_workbook_write().
*/
QfStatus
crew_write(const char*              folder,
           const QfWorkbookOptions* options,
           const Ends*              ends,
           size_t*                  n_done,
           QfError*                 error);

#endif // QUINTFALL_SRC_WORKBOOK_CREW_H
