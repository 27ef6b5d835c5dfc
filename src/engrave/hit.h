// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ENGRAVE_HIT_H
#define QUINTFALL_ENGRAVE_HIT_H

#include "engraving.h"

/// Where a time stands in its system, in staff spaces
double
engrave_x_of(const Engraving* e, QfTime time);

/// The system that holds a time, or NULL in an empty score
const System*
engrave_system_at(const Engraving* e, QfTime time);

#endif // QUINTFALL_ENGRAVE_HIT_H
