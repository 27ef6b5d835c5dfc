// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_WRITINGS_TEXT_H
#define QUINTFALL_SRC_COMMAND_WRITINGS_TEXT_H

#include "quintfall/writing.h"

/// JSON: `{"chords": [...], "writings": [{"cost", "pitches": [[...], ...]}]}` (transfer full)
char*
writings_to_json(const QfLinks* links, const QfWritings* writings);

#endif // QUINTFALL_SRC_COMMAND_WRITINGS_TEXT_H
