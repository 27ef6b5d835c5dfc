// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ENGRAVE_SHAPES_H
#define QUINTFALL_ENGRAVE_SHAPES_H

#include "fonts.h"

/// Signs drawn as our own outlines: the text font's accidentals are too wide for a staff
typedef enum {
  SHAPE_SHARP,
  SHAPE_NATURAL,
  SHAPE_FLAT,
  SHAPE_DOUBLE_SHARP,
  SHAPE_PAREN_OPEN,
  SHAPE_PAREN_CLOSE,
  SHAPE_BRACKET_TOP, ///< Upper tip of a bracket, its corner at the origin
  SHAPE_BRACKET_BOTTOM,
  SHAPE_DOT,
  N_SHAPES
} Shape;

/// Ink around the origin: left edge at 0, the staff position it stands on at y = 0
Box
shape_box(Shape shape);

/// Fill a shape at the origin of the current user space, one staff space to the unit
void
shape_paint(cairo_t* cr, Shape shape);

/// Fill a crescent from one point to another that bulges upwards by `height` (negative: downwards)
void
shape_paint_tie(cairo_t* cr, double x, double y, double x2, double y2, double height);

#endif // QUINTFALL_ENGRAVE_SHAPES_H
