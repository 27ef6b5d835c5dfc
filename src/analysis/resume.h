// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_RESUME_H
#define QUINTFALL_ANALYSIS_RESUME_H

#include "trellis.h"

/// What an earlier search has found, and how far it has been taken over
typedef struct {
  QfTrellis*    trellis;
  QfSameColumns same;
  size_t        n_alike; ///< Boundaries up to here from which all goes on as before
  double        offset;  ///< What they cost more than before
} QfResume;

/**
   Take over the boundaries that only the columns before the first change lead to.

   @return The last of them.
*/
size_t
qf_resume_beginning(const QfResume* resume, QfTrellis* trellis);

/// Compare a boundary just settled with the same one before; true if all goes on as it did
bool
qf_resume_goes_on(QfResume* resume, const QfTrellis* trellis, size_t boundary);

/// Take over the boundaries after one from which all goes on as before
void
qf_resume_end(const QfResume* resume, QfTrellis* trellis, size_t boundary);

#endif // QUINTFALL_ANALYSIS_RESUME_H
