// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_WRITINGS_TEXT_H
#define QUINTFALL_SRC_COMMAND_WRITINGS_TEXT_H

#include "quintfall/harmonise.h"

/// JSON: `{"chords": [...], "writings": [{"cost", "pitches": [[...], ...]}]}` (transfer full)
char*
writings_to_json(const QfLinks* links, const QfWritings* writings);

/// Each chain on a line, its writing under it, voice by voice (transfer full, or NULL)
char*
harmonies_to_table(const QfHarmonies* harmonies);

/// JSON: `{"harmonies": [{"cost", "chords", "pitches"}]}` (transfer full, or NULL)
char*
harmonies_to_json(const QfHarmonies* harmonies);

#endif // QUINTFALL_SRC_COMMAND_WRITINGS_TEXT_H
