// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ENGRAVE_SIGNATURE_H
#define QUINTFALL_ENGRAVE_SIGNATURE_H

#include "engraving.h"

// Clef, key signature and time signature on one staff, their left edges at `x`.

#define CLEF_PAD 0.7      ///< Before a clef
#define SIGNATURE_PAD 0.7 ///< Before a signature
#define METRE_PAD 0.8     ///< Before a time signature
#define HEADER_PAD 1.3    ///< After the last of them

void
draw_clef(Engraving* e, size_t page, QfClef clef, double x, double staff_y);

void
draw_signature(Engraving* e,
               size_t     page,
               QfClef     clef,
               int        cancelled,
               int        fifths,
               double     x,
               double     staff_y);

void
draw_metre(Engraving* e, size_t page, QfMetre metre, double x, double staff_y);

#endif // QUINTFALL_ENGRAVE_SIGNATURE_H
