// SPDX-License-Identifier: MIT
#include "qf-circle-paint.h"

#include "common/qf-inks.h"

#include <math.h>

enum {
  N_POSITIONS = 12,
  WINDOW      = 12, ///< Links shown of a long passage
};

/// Where the painting stands
typedef struct {
  cairo_t*   cr;
  GtkWidget* widget;
  QfPalette  palette;
  double     x, y;   ///< Middle
  double     radius; ///< Of the ring
  double     node;   ///< Radius of a node
  double     scale;  ///< Of all text
  size_t     first;  ///< Links shown
  size_t     last;   ///< One past
} Circle;

static const QfCircleStep*
step_at(const QfCirclePath* const path, const size_t index)
{
  return &g_array_index(path->steps, QfCircleStep, index);
}

/// Clockwise place of a root, C at the top
static int
position_of(const QfNoteName root)
{
  return ((qf_note_name_fifths(root) % N_POSITIONS) + N_POSITIONS) % N_POSITIONS;
}

static double
angle_of(const int position)
{
  return position * 2.0 * G_PI / N_POSITIONS - G_PI_2;
}

static void
point_of(const Circle* const circle,
         const int           position,
         const double        radius,
         double* const       x,
         double* const       y)
{
  const double angle = angle_of(position);
  *x                 = circle->x + radius * cos(angle);
  *y                 = circle->y + radius * sin(angle);
}

void
qf_circle_path_window(const QfCirclePath* const path, size_t* const first, size_t* const last)
{
  const size_t n_steps = path->steps->len;
  const size_t centre  = MIN(path->centre, n_steps);

  *first = n_steps <= WINDOW || centre < WINDOW / 2 ? 0 : centre - WINDOW / 2;
  *first = MIN(*first, n_steps > WINDOW ? n_steps - WINDOW : 0);
  *last  = MIN(n_steps, *first + WINDOW);
}

/// Part of a text, as fractions of its size, that stands on a point
typedef struct {
  double x, y;
} Anchor;

static const Anchor middle = {0.5, 0.5};

static void
paint_text(const Circle* const circle,
           const char* const   markup,
           const int           percent,
           const double        x,
           const double        y,
           const Anchor        anchor,
           const QfColour      colour)
{
  g_autofree char* sized =
    g_strdup_printf("<span size='%d%%'>%s</span>", (int)(percent * circle->scale), markup);
  PangoLayout* const layout = gtk_widget_create_pango_layout(circle->widget, NULL);
  int                width = 0, height = 0;

  pango_layout_set_markup(layout, sized, -1);
  pango_layout_set_alignment(layout, PANGO_ALIGN_CENTER);
  pango_layout_get_pixel_size(layout, &width, &height);
  qf_colour_set_source(colour, circle->cr);
  cairo_move_to(circle->cr, x - width * anchor.x, y - height * anchor.y);
  pango_cairo_show_layout(circle->cr, layout);
  g_object_unref(layout);
}

/// The notes of the key lie side by side: from one fifth under the major tonic to five above
static void
paint_key_region(const Circle* const circle, const QfKey key)
{
  const int    fifths = qf_key_fifths(key);
  const double unit   = 2.0 * G_PI / N_POSITIONS;

  qf_colour_set_source(qf_colour_fade(circle->palette.page.faint, 0.5), circle->cr);
  cairo_set_line_width(circle->cr, 1.0);
  cairo_arc(circle->cr, circle->x, circle->y, circle->radius, 0, 2 * G_PI);
  cairo_stroke(circle->cr);
  qf_colour_set_source(qf_colour_fade(circle->palette.page.faint, 0.22), circle->cr);
  cairo_set_line_width(circle->cr, circle->node * 2.6);
  cairo_arc(circle->cr, circle->x, circle->y, circle->radius, (fifths - 1.4) * unit - G_PI_2,
            (fifths + 5.4) * unit - G_PI_2);
  cairo_stroke(circle->cr);
}

/// A filled arrow head at a point, looking along a unit vector
static void
paint_arrow_head(cairo_t* const cr,
                 const double   x,
                 const double   y,
                 const double   ux,
                 const double   uy,
                 const double   size)
{
  cairo_move_to(cr, x, y);
  cairo_line_to(cr, x - ux * size - uy * size * 0.45, y - uy * size + ux * size * 0.45);
  cairo_line_to(cr, x - ux * size + uy * size * 0.45, y - uy * size - ux * size * 0.45);
  cairo_close_path(cr);
  cairo_fill(cr);
}

/**
   A curve from node to node.

   @param depth How far it bends to the middle, 0-1: later moves bend further,
   so that a path that comes back does not hide the way out.
*/
static void
paint_move(const Circle* const       circle,
           const QfCircleStep* const from,
           const QfCircleStep* const to,
           const double              depth,
           const QfColour            colour)
{
  const int    start = position_of(from->root);
  const int    end   = position_of(to->root);
  const double edge  = circle->radius - circle->node * 1.15;
  double       x0 = 0, y0 = 0, x1 = 0, y1 = 0;

  if (start == end) {
    return;
  }

  point_of(circle, start, edge, &x0, &y0);
  point_of(circle, end, edge, &x1, &y1);
  const double cx     = (x0 + x1) / 2.0 + depth * (circle->x - (x0 + x1) / 2.0);
  const double cy     = (y0 + y1) / 2.0 + depth * (circle->y - (y0 + y1) / 2.0);
  const double length = MAX(1.0, hypot(x1 - cx, y1 - cy));
  const double ux     = (x1 - cx) / length;
  const double uy     = (y1 - cy) / length;
  const double head   = MAX(6.0, circle->node * 0.6);

  qf_colour_set_source(colour, circle->cr);
  cairo_set_line_width(circle->cr, from->is_kept ? 2.2 : 1.0);
  cairo_move_to(circle->cr, x0, y0);
  cairo_curve_to(circle->cr, x0 + (cx - x0) * 2.0 / 3.0, y0 + (cy - y0) * 2.0 / 3.0,
                 x1 + (cx - x1) * 2.0 / 3.0, y1 + (cy - y1) * 2.0 / 3.0, x1 - ux * head * 0.8,
                 y1 - uy * head * 0.8);
  cairo_stroke(circle->cr);
  paint_arrow_head(circle->cr, x1, y1, ux, uy, head);
}

/// The moves between the links shown; the one that comes next stands out
static void
paint_path(const QfCirclePath* const path, const Circle* const circle)
{
  const size_t now     = path->playing < path->steps->len ? path->playing : path->current;
  const double n_moves = MAX(1.0, (double)(circle->last - circle->first) - 1.0);

  for (size_t i = circle->first; i + 1 < circle->last; ++i) {
    const double   depth = 0.15 + 0.75 * (double)(i - circle->first) / n_moves;
    const QfColour colour =
      i == now ? circle->palette.page.accent : qf_colour_fade(circle->palette.page.ink, 0.7);
    if (step_at(path, i)->is_known && step_at(path, i + 1)->is_known) {
      paint_move(circle, step_at(path, i), step_at(path, i + 1), depth, colour);
    }
  }
}

/// Room the longest numbers need beside the ring
static double
numbers_width(const Circle* const circle)
{
  g_autofree char*   text = g_strdup_printf("<span size='%d%%'>10\u2009\u00B7\u200910\u2026</span>",
                                            (int)(82 * circle->scale));
  PangoLayout* const layout = gtk_widget_create_pango_layout(circle->widget, NULL);
  int                width = 0, height = 0;

  pango_layout_set_markup(layout, text, -1);
  pango_layout_get_pixel_size(layout, &width, &height);
  g_object_unref(layout);
  return width;
}

/// Numbers of the links whose root stands at a position, two in a line
static void
write_numbers(const QfCirclePath* const path,
              const Circle* const       circle,
              const int                 position,
              GString* const            numbers)
{
  int written = 0;
  for (size_t i = circle->first; i < circle->last; ++i) {
    const QfCircleStep* const step = step_at(path, i);
    if (step->is_known && position_of(step->root) == position && ++written <= 4) {
      const char* const gap = written == 1 ? "" : written == 3 ? "\n" : "\u2009\u00B7\u2009";
      g_string_append_printf(numbers, "%s%zu", gap, i + 1);
    }
  }
  if (written > 4) {
    g_string_append(numbers, "\u2026");
  }
}

/// First link shown at a position, whose colour and spelling the node takes
static const QfCircleStep*
step_on(const QfCirclePath* const path, const Circle* const circle, const int position)
{
  for (size_t i = circle->first; i < circle->last; ++i) {
    const QfCircleStep* const step = step_at(path, i);
    if (step->is_known && position_of(step->root) == position) {
      return step;
    }
  }

  return NULL;
}

/// Spelling of a position nobody visits: the key's own, or else the usual one with few signs
static QfNoteName
usual_name(const int position, const QfKey key)
{
  const int  lowest = qf_key_fifths(key) - 1;
  const int  in_key = lowest + ((position - lowest) % N_POSITIONS + N_POSITIONS) % N_POSITIONS;
  const int  plain  = position > 6 ? position - N_POSITIONS : position;
  QfNoteName name   = {0, 0};

  qf_note_name_from_fifths(in_key <= lowest + 6 ? in_key : plain, &name);
  return name;
}

static bool
is_in_key(const QfKey key, const int position)
{
  return qf_key_has_note(key, usual_name(position, key));
}

static void
paint_node(const QfCirclePath* const path,
           const Circle* const       circle,
           const int                 position,
           const QfKey               key,
           const gboolean            is_playing)
{
  const QfCircleStep* const step = step_on(path, circle, position);
  g_autoptr(GString) text        = g_string_new(NULL);
  char   name[24];
  double x = 0, y = 0;

  point_of(circle, position, circle->radius, &x, &y);
  cairo_new_path(circle->cr);
  cairo_arc(circle->cr, x, y, is_playing ? circle->node * 1.25 : circle->node, 0, 2 * G_PI);
  if (is_playing) {
    qf_colour_set_source(circle->palette.page.playing, circle->cr);
    cairo_fill(circle->cr);
  } else if (step) {
    qf_colour_set_source(circle->palette.paper, circle->cr);
    cairo_fill_preserve(circle->cr);
    qf_colour_set_source(qf_colour_fade(circle->palette.functions[step->function], 0.25),
                         circle->cr);
    cairo_fill_preserve(circle->cr);
    cairo_set_line_width(circle->cr, 2.0);
    qf_colour_set_source(circle->palette.has_high_contrast
                           ? circle->palette.page.ink
                           : circle->palette.functions[step->function],
                         circle->cr);
    cairo_stroke(circle->cr);
  } else if (!is_in_key(key, position)) {
    // The ring's line must not run through a name.
    qf_colour_set_source(circle->palette.window, circle->cr);
    cairo_fill(circle->cr);
  }
  cairo_new_path(circle->cr);

  qf_note_name_spell_out(step ? step->root : usual_name(position, key), path->naming, name,
                         sizeof(name));
  g_string_printf(text, step ? "<b>%s</b>" : "%s", name);
  paint_text(circle, text->str, step ? 105 : 95, x, y, middle,
             is_playing ? circle->palette.paper
                        : (step ? circle->palette.page.ink : circle->palette.page.faint));

  g_string_truncate(text, 0);
  write_numbers(path, circle, position, text);
  if (text->len) {
    // Numbers hang outside the ring, on the side that faces it.
    const double angle  = angle_of(position);
    const Anchor anchor = {0.5 - 0.5 * cos(angle), 0.5 - 0.5 * sin(angle)};
    point_of(circle, position, circle->radius + circle->node * 1.45, &x, &y);
    paint_text(circle, text->str, 82, x, y, anchor, circle->palette.page.ink);
  }
}

static void
paint_centre(const QfCirclePath* const path, const Circle* const circle)
{
  const size_t n_steps = path->steps->len;
  const size_t index   = path->playing < n_steps ? path->playing : path->current;

  if (index < n_steps) {
    const QfCircleStep* const step = step_at(path, index);
    g_autofree char*          markup =
      g_markup_printf_escaped("<b>%s<sup>%s</sup>%s</b>", step->head, step->figures, step->tail);
    // A field of paper keeps the words clear of the path behind them.
    qf_colour_set_source(qf_colour_fade(circle->palette.window, 0.85), circle->cr);
    cairo_arc(circle->cr, circle->x, circle->y, circle->node * 1.7, 0, 2 * G_PI);
    cairo_fill(circle->cr);
    paint_text(circle, markup, 120, circle->x, circle->y, middle, circle->palette.page.ink);
  }
}

/// Which links are shown when there are more
static void
paint_caption(const QfCirclePath* const path, const Circle* const circle, const double height)
{
  if (circle->last - circle->first < path->steps->len) {
    static const Anchor above = {0.0, 1.0};
    g_autofree char*    text  = g_strdup_printf("Links %zu\u2013%zu of %u", circle->first + 1,
                                                circle->last, path->steps->len);
    paint_text(circle, text, 78, 0.0, height, above, circle->palette.page.faint);
  }
}

void
qf_circle_paint(const QfCirclePath* const path,
                GtkWidget* const          widget,
                cairo_t* const            cr,
                const double              width,
                const double              height)
{

  const double side = MIN(width, height);

  Circle circle = {.widget  = widget,
                   .palette = qf_palette_now(),
                   .x       = width / 2.0,
                   .y       = height / 2.0,
                   .radius  = side * 0.315,
                   .node    = side * 0.054,
                   .scale   = CLAMP(side / 300.0, 0.9, 2.0)};
  qf_circle_path_window(path, &circle.first, &circle.last);
  circle.radius = MIN(circle.radius, width / 2.0 - numbers_width(&circle) - circle.node * 1.6);
  if (side < 40.0) {
    return;
  }

  const size_t n_steps = path->steps->len;
  const size_t here    = path->current < n_steps ? path->current : 0;
  const QfKey  key     = n_steps ? step_at(path, here)->key : (QfKey){{0, 0}, QF_MAJOR};
  const int    playing = path->playing < n_steps && step_at(path, path->playing)->is_known
                           ? position_of(step_at(path, path->playing)->root)
                           : -1;

  circle.cr = cr;
  paint_key_region(&circle, key);
  paint_path(path, &circle);
  for (int position = 0; position < N_POSITIONS; ++position) {
    paint_node(path, &circle, position, key, position == playing);
  }
  paint_centre(path, &circle);
  paint_caption(path, &circle, height);
}
