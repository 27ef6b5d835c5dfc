// SPDX-License-Identifier: MIT
#ifndef QF_DOCUMENT_SIDE_BY_SIDE_H
#define QF_DOCUMENT_SIDE_BY_SIDE_H

#include "quintfall/sound.h"

/// Do one of several things; reports its own progress, from 0 to 1, and stops when told false
typedef QfStatus (
  *JobFunc)(size_t index, QfProgressFunc progress, void* progress_data, void* data, QfError* error);

typedef struct {
  size_t         n_jobs;
  const double*  shares;    ///< Of each in the progress of all; they sum up to 1
  size_t         n_threads; ///< At a time; 0 for one each processor
  JobFunc        run;       ///< Called by any thread
  void*          data;
  QfProgressFunc progress; ///< Called by any thread, one at a time; or NULL
  void*          progress_data;
} Jobs;

/// Do all, several at a time; the first fault stops the rest, and is told
QfStatus
side_by_side(const Jobs* jobs, QfError* error);

#endif // QF_DOCUMENT_SIDE_BY_SIDE_H
