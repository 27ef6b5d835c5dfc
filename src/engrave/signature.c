// SPDX-License-Identifier: MIT
#include "signature.h"
#include "drawing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define SHARP_STEP 1.02
#define FLAT_STEP 0.92
#define NATURAL_STEP 0.84
#define DIGIT_SIZE 2.72

/**
   Positions of the signs in the order they are added, in half spaces above the bottom line.

   Rule: common practice; the tenor clef's sharps take the lower octave first.
*/
static const int8_t sharp_positions[QF_CLEF_N_KINDS][7] = {
  [QF_CLEF_TREBLE] = {8, 5, 9, 6, 3, 7, 4},   [QF_CLEF_BASS] = {6, 3, 7, 4, 1, 5, 2},
  [QF_CLEF_ALTO] = {7, 4, 8, 5, 2, 6, 3},     [QF_CLEF_TENOR] = {2, 6, 3, 7, 4, 8, 5},
  [QF_CLEF_TREBLE_8] = {8, 5, 9, 6, 3, 7, 4},
};

static const int8_t flat_positions[QF_CLEF_N_KINDS][7] = {
  [QF_CLEF_TREBLE] = {4, 7, 3, 6, 2, 5, 1},   [QF_CLEF_BASS] = {2, 5, 1, 4, 0, 3, -1},
  [QF_CLEF_ALTO] = {3, 6, 2, 5, 1, 4, 0},     [QF_CLEF_TENOR] = {5, 8, 4, 7, 3, 6, 2},
  [QF_CLEF_TREBLE_8] = {4, 7, 3, 6, 2, 5, 1},
};

/// The glyph of each clef and the height of its origin above the bottom line
static const Glyph clef_glyphs[QF_CLEF_N_KINDS] = {
  [QF_CLEF_TREBLE] = GLYPH_G_CLEF,     [QF_CLEF_BASS] = GLYPH_F_CLEF,
  [QF_CLEF_ALTO] = GLYPH_C_CLEF,       [QF_CLEF_TENOR] = GLYPH_C_CLEF,
  [QF_CLEF_TREBLE_8] = GLYPH_G_CLEF_8,
};

/// Signs of the old signature that the new one does not repeat: its last ones
int
engrave_n_naturals(const int cancelled, const int fifths)
{
  if (cancelled == 0 || cancelled == fifths) {
    return 0;
  }
  const bool same_kind = (cancelled > 0) == (fifths > 0) && fifths != 0;
  return same_kind ? (abs(cancelled) > abs(fifths) ? abs(cancelled) - abs(fifths) : 0)
                   : abs(cancelled);
}

double
engrave_clef_width(const Engraving* const e, const QfClef clef)
{
  const Box box = e->fonts.boxes[clef_glyphs[clef]];
  return box.right - box.left;
}

double
engrave_signature_width(const int cancelled, const int fifths)
{
  const int    n_naturals = engrave_n_naturals(cancelled, fifths);
  const double signs      = fifths > 0 ? fifths * SHARP_STEP : -fifths * FLAT_STEP;
  return n_naturals * NATURAL_STEP + (n_naturals && fifths ? 0.3 : 0.0) + signs;
}

double
engrave_metre_width(const Engraving* const e, const QfMetre metre)
{
  char upper[8];
  char lower[8];
  snprintf(upper, sizeof(upper), "%u", metre.numerator);
  snprintf(lower, sizeof(lower), "%u", metre.denominator);
  return fmax(fonts_text_width(&e->fonts, upper, TEXT_BOLD, DIGIT_SIZE),
              fonts_text_width(&e->fonts, lower, TEXT_BOLD, DIGIT_SIZE));
}

void
draw_clef(Engraving* const e,
          const size_t     page,
          const QfClef     clef,
          const double     x,
          const double     staff_y)
{
  // The font draws every clef on an em that spans the staff; the tenor's stands a line higher
  const double base = staff_y + STAFF_HEIGHT - (clef == QF_CLEF_TENOR ? 1.0 : 0.0);
  draw_glyph(e, page, clef_glyphs[clef], x, base, QF_NO_NOTE);
}

void
draw_signature(Engraving* const e,
               const size_t     page,
               const QfClef     clef,
               const int        cancelled,
               const int        fifths,
               const double     x,
               const double     staff_y)
{
  const int     n_naturals = engrave_n_naturals(cancelled, fifths);
  const int     n_old      = abs(cancelled);
  const int8_t* old        = cancelled > 0 ? sharp_positions[clef] : flat_positions[clef];
  const int8_t* new_signs  = fifths > 0 ? sharp_positions[clef] : flat_positions[clef];
  const Shape   sign       = fifths > 0 ? SHAPE_SHARP : SHAPE_FLAT;
  const double  step       = fifths > 0 ? SHARP_STEP : FLAT_STEP;
  double        at         = x;
  for (int i = n_old - n_naturals; i < n_old; ++i) {
    draw_shape(e, page, SHAPE_NATURAL, at, staff_y + engrave_y_of(old[i]), 1.0, QF_NO_NOTE);
    at += NATURAL_STEP;
  }
  at += n_naturals && fifths ? 0.3 : 0.0;
  for (int i = 0; i < abs(fifths); ++i) {
    draw_shape(e, page, sign, at, staff_y + engrave_y_of(new_signs[i]), 1.0, QF_NO_NOTE);
    at += step;
  }
}

void
draw_metre(Engraving* const e,
           const size_t     page,
           const QfMetre    metre,
           const double     x,
           const double     staff_y)
{
  const double middle = x + engrave_metre_width(e, metre) / 2.0;
  const double high   = fonts_figure_height(&e->fonts, TEXT_BOLD, DIGIT_SIZE);
  const double lift   = (2.0 - high) / 2.0;
  char         text[8];
  snprintf(text, sizeof(text), "%u", metre.numerator);
  draw_text(e, page, text, TEXT_BOLD, DIGIT_SIZE, middle, staff_y + 2.0 - lift, ALIGN_MIDDLE);
  snprintf(text, sizeof(text), "%u", metre.denominator);
  draw_text(e, page, text, TEXT_BOLD, DIGIT_SIZE, middle, staff_y + 4.0 - lift, ALIGN_MIDDLE);
}
