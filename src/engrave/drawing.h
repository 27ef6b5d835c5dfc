// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ENGRAVE_DRAWING_H
#define QUINTFALL_ENGRAVE_DRAWING_H

#include "engraving.h"
#include "shapes.h"

// Adding to a page's list of things to paint; positions are on the page.

typedef enum { ALIGN_START, ALIGN_MIDDLE, ALIGN_END } Align;

/// A glyph whose ink begins at `x` and whose origin stands at height `y`
void
draw_glyph(Engraving* e, size_t page, Glyph glyph, double x, double y, uint32_t note);

/// The same as draw_glyph() at another size, for signs that are no notes of the passage
void
draw_scaled(Engraving* e, size_t page, Glyph glyph, double scale, double x, double y);

/// The outline of a glyph, placed as by draw_glyph()
void
draw_outline(Engraving* e, size_t page, Glyph glyph, double x, double y, uint32_t note);

/// An upright ellipse that fills a box
void
draw_ring(Engraving* e, size_t page, Box box, double thickness, bool is_dashed);

void
draw_frame(Engraving* e, size_t page, Box box, bool is_dashed);

/// A glyph, its ink from (x, y) downwards, drawn `height` high and `width` wide
void
draw_stretched(Engraving* e, size_t page, Glyph glyph, Box box);

/// The same glyph as draw_glyph(), upside down around its origin
void
draw_flipped(Engraving* e, size_t page, Glyph glyph, double x, double y, uint32_t note);

void
draw_shape(Engraving* e, size_t page, Shape shape, double x, double y, double size, uint32_t note);

void
draw_rule(Engraving* e, size_t page, Box box, Ink ink, uint32_t note);

void
draw_line(Engraving* e, size_t page, double x, double y, double x2, double y2, double thickness);

void
draw_beam(Engraving* e, size_t page, double x, double y, double x2, double y2, uint32_t note);

void
draw_tie(Engraving* e,
         size_t     page,
         double     x,
         double     y,
         double     x2,
         double     y2,
         double     height,
         uint32_t   note);

/// Width of a text whose accidentals are drawn as signs
double
engrave_text_width(const Engraving* e, const char* text, TextStyle style, double size);

/// Text on a baseline, its accidentals drawn as signs; returns its width
double
draw_text(Engraving*  e,
          size_t      page,
          const char* text,
          TextStyle   style,
          double      size,
          double      x,
          double      y,
          Align       align);

/// An accidental with its left edge at `x`, for a head at height `y`
void
draw_accidental(Engraving* e,
                size_t     page,
                int        alter,
                bool       is_courtesy,
                double     x,
                double     y,
                uint32_t   note);

#endif // QUINTFALL_ENGRAVE_DRAWING_H
