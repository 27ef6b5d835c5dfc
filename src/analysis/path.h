// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_PATH_H
#define QUINTFALL_ANALYSIS_PATH_H

#include "costs.h"
#include "trellis.h"

/// The cheapest reading of a passage
typedef struct {
  QfSpan* spans; ///< From the first column to the last; owned
  size_t  n_spans;
} QfPath;

/// Follow a trellis back from the best of its ends
QfStatus
qf_path_trace(const QfTrellis*      trellis,
              const QfPassage*      passage,
              const QfSearchGivens* givens,
              QfPath*               path);

void
qf_path_clear(QfPath* path);

#endif // QUINTFALL_ANALYSIS_PATH_H
