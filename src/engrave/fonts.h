// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ENGRAVE_FONTS_H
#define QUINTFALL_ENGRAVE_FONTS_H

#include "quintfall/status.h"

#include <cairo.h>
#include <pango/pangocairo.h>
#include <stdbool.h>

typedef struct {
  double left, top, right, bottom;
} Box;

/// Glyphs of the music font; each is a line of a table in fonts.c
typedef enum {
  GLYPH_G_CLEF,
  GLYPH_G_CLEF_8,
  GLYPH_F_CLEF,
  GLYPH_C_CLEF,
  GLYPH_BREVE,
  GLYPH_WHOLE,
  GLYPH_HALF,
  GLYPH_BLACK,
  GLYPH_FLAG_1,
  GLYPH_FLAG_2,
  GLYPH_FLAG_3,
  GLYPH_FLAG_4,
  GLYPH_FLAG_5,
  GLYPH_REST_4,
  GLYPH_REST_8,
  GLYPH_REST_16,
  GLYPH_REST_32,
  GLYPH_REST_64,
  GLYPH_REST_128,
  GLYPH_BRACE,
  GLYPH_FERMATA,
  GLYPH_FERMATA_BELOW,
  N_GLYPHS
} Glyph;

typedef enum { TEXT_PLAIN, TEXT_BOLD, TEXT_ITALIC, TEXT_SANS, N_TEXT_STYLES } TextStyle;

/// The music font and the text fonts, opened and measured
typedef struct {
  cairo_font_face_t*    music;
  unsigned long         glyphs[N_GLYPHS];
  Box                   boxes[N_GLYPHS]; ///< Ink around the origin, in staff spaces
  PangoFontDescription* styles[N_TEXT_STYLES];
  PangoLayout*          layout; ///< For measuring
} Fonts;

/// #QF_ERR_MISSING if the music font is not installed
QfStatus
fonts_open(Fonts* fonts, QfError* error);

void
fonts_close(Fonts* fonts);

/// Width of a text whose em is `size`
double
fonts_text_width(const Fonts* fonts, const char* text, TextStyle style, double size);

/// Height of a capital or a figure above the baseline
double
fonts_figure_height(const Fonts* fonts, TextStyle style, double size);

/// Set a text on a layout at a scale at which rounding does not show
void
fonts_set_text(const Fonts* fonts,
               PangoLayout* layout,
               const char*  text,
               TextStyle    style,
               double       em);

/// Scale between a layout made by fonts_set_text() and staff spaces
#define FONTS_SCALE 8.0

#endif // QUINTFALL_ENGRAVE_FONTS_H
