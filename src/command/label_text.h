// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_LABEL_TEXT_H
#define QUINTFALL_SRC_COMMAND_LABEL_TEXT_H

#include "quintfall/label.h"

/// A table for reading: place, key, numeral, chord, motion, resolution (transfer full, or NULL)
char*
labels_to_table(const QfScore* score, const QfLabels* labels, bool has_reasons);

/// JSON: `{"key", "links": [...], "chains": [...]}` (transfer full, or NULL)
char*
labels_to_json(const QfScore* score, const QfLabels* labels);

#endif // QUINTFALL_SRC_COMMAND_LABEL_TEXT_H
