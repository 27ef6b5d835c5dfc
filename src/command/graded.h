// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_GRADED_H
#define QUINTFALL_SRC_COMMAND_GRADED_H

#include "command.h"

#include "quintfall/results.h"

/// Results with every reason, for reading (transfer full)
char*
graded_text(const QfResults* results);

/// (transfer full)
char*
graded_json(const QfResults* results);

#endif // QUINTFALL_SRC_COMMAND_GRADED_H
