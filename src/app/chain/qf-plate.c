// SPDX-License-Identifier: MIT
#include "qf-plate.h"

#include <math.h>

static const double inset = 1.5; ///< Half of the widest line, so that outlines stay inside

enum {
  MAX_CORNERS = 6,
};

/// A corner: x and y as fractions of the field, `slant` in depths of the plate's pad
typedef struct {
  double x, y, slant;
} Corner;

static const struct {
  int    n_corners;
  Corner corners[MAX_CORNERS];
} shapes[QF_N_FUNCTIONS] = {
  [QF_FUNCTION_TONIC]       = {4, {{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}}},
  [QF_FUNCTION_PREDOMINANT] = {4, {{0, 0, 0.8}, {1, 0, 0}, {1, 1, -0.8}, {0, 1, 0}}},
  [QF_FUNCTION_DOMINANT]    = {5, {{0, 0, 0}, {1, 0, -1}, {1, 0.5, 0}, {1, 1, -1}, {0, 1, 0}}},
  [QF_FUNCTION_APPLIED] =
    {6, {{0, 0, 0}, {1, 0, -1}, {1, 0.5, 0}, {1, 1, -1}, {0, 1, 0}, {0, 0.5, 0.9}}},
};

static void
rounded_path(cairo_t* const cr, const double width, const double height)
{
  const double radius = (height - 2 * inset) / 2.0;
  const double middle = height / 2.0;

  cairo_arc(cr, width - inset - radius, middle, radius, -G_PI_2, G_PI_2);
  cairo_arc(cr, inset + radius, middle, radius, G_PI_2, 3 * G_PI_2);
  cairo_close_path(cr);
}

void
qf_plate_path(cairo_t* const   cr,
              const QfFunction function,
              const double     width,
              const double     height,
              const double     pad)
{
  if (function == QF_FUNCTION_TONIC) {
    rounded_path(cr, width, height);
    return;
  }

  for (int i = 0; i < shapes[function].n_corners; ++i) {
    const Corner corner = shapes[function].corners[i];
    cairo_line_to(cr, inset + corner.x * (width - 2 * inset) + corner.slant * pad,
                  inset + corner.y * (height - 2 * inset));
  }

  cairo_close_path(cr);
}

static void
paint_pin(cairo_t* const cr, const QfPlate plate, const QfPalette* const palette)
{
  // On the plate's upper edge, clear of the figures.
  const double radius = MAX(2.5, plate.height / 11.0);
  const double x      = plate.width - 2.0 * radius;

  qf_colour_set_source(palette->page.ink, cr);
  cairo_arc(cr, x, 0.0, radius, 0, 2 * G_PI);
  cairo_fill(cr);
  cairo_set_line_width(cr, 1.2);
  cairo_move_to(cr, x, 0.0);
  cairo_line_to(cr, x, radius * 2.4);
  cairo_stroke(cr);
}

void
qf_plate_paint(cairo_t* const cr, const QfPlate plate, const QfPalette* const palette)
{
  static const double dashes[] = {3.0, 3.0};
  const QfColour family = plate.is_known ? palette->functions[plate.function] : palette->page.faint;
  const QfColour outline = palette->has_high_contrast ? palette->page.ink : family;

  cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
  qf_plate_path(cr, plate.function, plate.width, plate.height, plate.pad);
  qf_colour_set_source(plate.is_playing ? qf_colour_fade(palette->page.playing, 0.55)
                                        : qf_colour_fade(family, plate.is_selected ? 0.40 : 0.16),
                       cr);
  cairo_fill_preserve(cr);

  if (!plate.is_known) {
    cairo_set_dash(cr, dashes, 2, 0);
  }
  cairo_set_line_width(cr, plate.is_selected || plate.is_playing ? 3.0 : 1.6);
  qf_colour_set_source(plate.is_playing ? palette->page.playing : outline, cr);
  cairo_stroke(cr);
  cairo_set_dash(cr, NULL, 0, 0);

  if (plate.is_pinned) {
    paint_pin(cr, plate, palette);
  }
  if (plate.is_focused) {
    qf_colour_set_source(palette->page.ink, cr);
    cairo_set_line_width(cr, 1.5);
    cairo_rectangle(cr, -2.0, -2.0, plate.width + 4.0, plate.height + 4.0);
    cairo_stroke(cr);
  }
}
