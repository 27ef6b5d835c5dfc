// SPDX-License-Identifier: MIT
#include "shapes.h"

#include <math.h>

static const Box boxes[N_SHAPES] = {
  [SHAPE_SHARP] = {0.0, -1.40, 0.98, 1.40},      [SHAPE_NATURAL] = {0.0, -1.38, 0.70, 1.38},
  [SHAPE_FLAT] = {0.0, -1.76, 0.88, 0.72},       [SHAPE_DOUBLE_SHARP] = {0.0, -0.50, 1.00, 0.50},
  [SHAPE_PAREN_OPEN] = {0.0, -1.25, 0.45, 1.25}, [SHAPE_PAREN_CLOSE] = {0.0, -1.25, 0.45, 1.25},
  [SHAPE_BRACKET_TOP] = {0.0, -0.95, 1.90, 0.0}, [SHAPE_BRACKET_BOTTOM] = {0.0, 0.0, 1.90, 0.95},
  [SHAPE_DOT] = {0.0, -0.22, 0.44, 0.22},
};

Box
shape_box(const Shape shape)
{
  return boxes[shape];
}

/// A bar that rises to the right, as in sharps and naturals
static void
add_slant(cairo_t* const cr, const double left, const double right, const double middle)
{
  const double thickness = 0.27;
  const double rise      = 0.15 * (right - left);
  cairo_move_to(cr, left, middle + rise - thickness / 2.0);
  cairo_line_to(cr, right, middle - rise - thickness / 2.0);
  cairo_line_to(cr, right, middle - rise + thickness / 2.0);
  cairo_line_to(cr, left, middle + rise + thickness / 2.0);
  cairo_close_path(cr);
}

static void
paint_sharp(cairo_t* const cr)
{
  const double stem = 0.10;
  cairo_rectangle(cr, 0.27, -1.24, stem, 2.64);
  cairo_rectangle(cr, 0.61, -1.40, stem, 2.64);
  add_slant(cr, 0.0, 0.98, -0.47);
  add_slant(cr, 0.0, 0.98, 0.47);
  cairo_fill(cr);
}

static void
paint_natural(cairo_t* const cr)
{
  const double stem = 0.11;
  cairo_rectangle(cr, 0.0, -1.38, stem, 2.12);
  cairo_rectangle(cr, 0.59, -0.74, stem, 2.12);
  add_slant(cr, 0.0, 0.70, -0.47);
  add_slant(cr, 0.0, 0.70, 0.47);
  cairo_fill(cr);
}

static void
paint_flat(cairo_t* const cr)
{
  cairo_rectangle(cr, 0.0, -1.76, 0.11, 2.3);
  cairo_fill(cr);

  cairo_set_fill_rule(cr, CAIRO_FILL_RULE_EVEN_ODD);
  cairo_move_to(cr, 0.0, 0.72);
  cairo_curve_to(cr, 0.40, 0.48, 0.88, 0.16, 0.88, -0.20);
  cairo_curve_to(cr, 0.88, -0.46, 0.72, -0.60, 0.52, -0.60);
  cairo_curve_to(cr, 0.34, -0.60, 0.20, -0.52, 0.08, -0.38);
  cairo_line_to(cr, 0.0, -0.30);
  cairo_close_path(cr);
  cairo_move_to(cr, 0.11, 0.42);
  cairo_line_to(cr, 0.11, -0.14);
  cairo_curve_to(cr, 0.20, -0.30, 0.31, -0.40, 0.42, -0.40);
  cairo_curve_to(cr, 0.54, -0.40, 0.60, -0.30, 0.60, -0.17);
  cairo_curve_to(cr, 0.60, 0.06, 0.32, 0.28, 0.11, 0.42);
  cairo_close_path(cr);
  cairo_fill(cr);
  cairo_set_fill_rule(cr, CAIRO_FILL_RULE_WINDING);
}

/// Four arms that widen into square ends
static void
paint_double_sharp(cairo_t* const cr)
{
  static const double points[][2] = {
    {0.50, -0.11}, {0.70, -0.31}, {0.70, -0.50}, {1.00, -0.50}, {1.00, -0.20}, {0.81, -0.20},
    {0.61, 0.00},  {0.81, 0.20},  {1.00, 0.20},  {1.00, 0.50},  {0.70, 0.50},  {0.70, 0.31},
    {0.50, 0.11},  {0.30, 0.31},  {0.30, 0.50},  {0.00, 0.50},  {0.00, 0.20},  {0.19, 0.20},
    {0.39, 0.00},  {0.19, -0.20}, {0.00, -0.20}, {0.00, -0.50}, {0.30, -0.50}, {0.30, -0.31},
  };
  for (size_t i = 0; i < sizeof(points) / sizeof(points[0]); ++i) {
    cairo_line_to(cr, points[i][0], points[i][1]);
  }
  cairo_close_path(cr);
  cairo_fill(cr);
}

static void
paint_paren(cairo_t* const cr, const bool is_open)
{
  const double outer = is_open ? -0.10 : 0.55;
  const double inner = is_open ? 0.10 : 0.35;
  const double end   = is_open ? 0.42 : 0.03;
  cairo_move_to(cr, end, -1.25);
  cairo_curve_to(cr, outer, -0.70, outer, 0.70, end, 1.25);
  cairo_curve_to(cr, inner, 0.66, inner, -0.66, end, -1.25);
  cairo_close_path(cr);
  cairo_fill(cr);
}

/// A wing that grows out of the bracket's bar, which is half a space thick
/// @param up -1 for the upper tip, 1 for the lower
static void
paint_bracket_tip(cairo_t* const cr, const double up)
{
  cairo_move_to(cr, 0.0, -0.05 * up);
  cairo_line_to(cr, 0.0, 0.26 * up);
  cairo_curve_to(cr, 0.75, 0.28 * up, 1.40, 0.48 * up, 1.90, 0.95 * up);
  cairo_curve_to(cr, 1.55, 0.36 * up, 1.05, 0.02 * up, 0.50, -0.05 * up);
  cairo_close_path(cr);
  cairo_fill(cr);
}

void
shape_paint(cairo_t* const cr, const Shape shape)
{
  cairo_new_path(cr);
  switch (shape) {
    case SHAPE_SHARP:
      paint_sharp(cr);
      break;
    case SHAPE_NATURAL:
      paint_natural(cr);
      break;
    case SHAPE_FLAT:
      paint_flat(cr);
      break;
    case SHAPE_DOUBLE_SHARP:
      paint_double_sharp(cr);
      break;
    case SHAPE_PAREN_OPEN:
    case SHAPE_PAREN_CLOSE:
      paint_paren(cr, shape == SHAPE_PAREN_OPEN);
      break;
    case SHAPE_BRACKET_TOP:
    case SHAPE_BRACKET_BOTTOM:
      paint_bracket_tip(cr, shape == SHAPE_BRACKET_TOP ? -1.0 : 1.0);
      break;
    case SHAPE_DOT:
      cairo_arc(cr, 0.22, 0.0, 0.22, 0.0, 2.0 * G_PI);
      cairo_fill(cr);
      break;
    case N_SHAPES:
      break;
  }
}

void
shape_paint_tie(cairo_t* const cr,
                const double   x,
                const double   y,
                const double   x2,
                const double   y2,
                const double   height)
{
  const double length    = x2 - x;
  const double inset     = fmin(length * 0.28, 1.6);
  const double outer     = height * 4.0 / 3.0;
  const double thickness = height < 0.0 ? -0.26 : 0.26;
  const double inner     = outer - thickness;
  cairo_new_path(cr);
  cairo_move_to(cr, x, y);
  cairo_curve_to(cr, x + inset, y - outer, x2 - inset, y2 - outer, x2, y2);
  cairo_curve_to(cr, x2 - inset, y2 - inner, x + inset, y - inner, x, y);
  cairo_close_path(cr);
  cairo_fill_preserve(cr);
  // A hair around the crescent keeps its tips from vanishing
  cairo_set_line_width(cr, 0.05);
  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  cairo_stroke(cr);
}
