// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_FORMATS_MUSICXML_HARMONY_H
#define QUINTFALL_FORMATS_MUSICXML_HARMONY_H

#include "quintfall/label.h"
#include "quintfall/text.h"

/// Add text with the characters that XML reserves written as references, and nothing XML forbids
void
qf_xml_add_escaped(QfText* text, const char* string);

/**
   Add a `harmony` element.

   @param offset Divisions from where the element stands to where it counts.
*/
void
qf_harmony_write(QfText* text, const QfLabel* label, int64_t offset);

#endif // QUINTFALL_FORMATS_MUSICXML_HARMONY_H
