// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_EXPLORE_LEAD_H
#define QUINTFALL_EXPLORE_LEAD_H

#include "quintfall/explore.h"

/// Fill in the voice leading of a continuation whose numeral is set; #QF_ERR_IMPOSSIBLE if none
QfStatus
lead_into(const QfExploreFrom* from, const QfVoicing* voicing, QfContinuation* to);

/// The voicing to start from when none is given
QfStatus
lead_start(const QfExploreFrom* from, QfVoicing* voicing, QfError* error);

#endif // QUINTFALL_EXPLORE_LEAD_H
