// SPDX-License-Identifier: MIT
// What reading and writing RomanText share.
#ifndef QUINTFALL_FORMATS_ROMANTEXT_H
#define QUINTFALL_FORMATS_ROMANTEXT_H

#include "quintfall/formats.h"
#include "quintfall/text.h"

/// Read "b2", "b2.5", "b1.66", "b1.66.5" (two thirds and half a third)
bool
qf_roman_beat_parse(const char* token, QfTime* result);

/// Add "b2.5" in the fewest decimals that are read as the same beat
void
qf_roman_beat_write(QfText* text, QfTime beat);

#endif // QUINTFALL_FORMATS_ROMANTEXT_H
