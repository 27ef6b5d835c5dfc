// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_EXPLORE_REASON_H
#define QUINTFALL_EXPLORE_REASON_H

#include "quintfall/explore.h"

/// Say in one sentence why one would go from a link to a continuation; #QF_REASON_SIZE bytes
void
reason_write(const QfLink*         from,
             const QfContinuation* to,
             QfNamingKind          naming,
             char*                 text,
             size_t                size);

#endif // QUINTFALL_EXPLORE_REASON_H
