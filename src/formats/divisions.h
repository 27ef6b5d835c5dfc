// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_FORMATS_DIVISIONS_H
#define QUINTFALL_SRC_FORMATS_DIVISIONS_H

#include "quintfall/time.h"

/// Let the divisions of a quarter grow until they hold a time exactly; false beyond `most`
bool
divisions_refine(int64_t* divisions, QfTime time, int64_t most);

#endif // QUINTFALL_SRC_FORMATS_DIVISIONS_H
