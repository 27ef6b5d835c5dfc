// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_DOCUMENT_RESULTS_IMPL_H
#define QUINTFALL_SRC_DOCUMENT_RESULTS_IMPL_H

#include "quintfall/results.h"

/// The last part of a path
const char*
result_base_name(const char* path);

#endif // QUINTFALL_SRC_DOCUMENT_RESULTS_IMPL_H
