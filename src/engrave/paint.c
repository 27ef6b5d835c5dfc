// SPDX-License-Identifier: MIT
#include "hit.h"
#include "shapes.h"

#include <math.h>
#include <string.h>

#define STAFF_SPACES_IN_EM 4.0
#define HALF_HEAD 0.6
#define OUTLINE 0.13 ///< Of the pen that draws the outline of a head
#define QUIET 0.62   ///< Strength of the paler ink

/// What one call of the painter carries along
typedef struct {
  const Engraving* e;
  cairo_t*         cr;
  PangoLayout*     layout;
  const QfMarks*   marks;
  uint32_t         sounding[QF_MAX_VOICES * 2];
  size_t           n_sounding;
  double           pixel; ///< Staff spaces in a device pixel, 0 where lines need no snapping
  double           origin_x;
  double           origin_y;
} Painter;

static void
set_colour(cairo_t* const cr, const QfColour c)
{
  cairo_set_source_rgba(cr, c.r, c.g, c.b, c.a);
}

static void
set_faded(cairo_t* const cr, const QfColour c, const double alpha)
{
  cairo_set_source_rgba(cr, c.r, c.g, c.b, c.a * alpha);
}

static void
find_sounding(Painter* const p)
{
  const Engraving* const e = p->e;
  for (size_t i = 0; p->marks->is_playing && i < e->n_spans; ++i) {
    const Span* const span = &e->spans[i];
    if (qf_time_compare(span->start, p->marks->playing_time) <= 0 &&
        qf_time_compare(p->marks->playing_time, span->end) < 0 &&
        p->n_sounding < sizeof(p->sounding) / sizeof(p->sounding[0])) {
      p->sounding[p->n_sounding++] = span->note;
    }
  }
}

static bool
is_sounding(const Painter* const p, const uint32_t note)
{
  for (size_t i = 0; i < p->n_sounding; ++i) {
    if (p->sounding[i] == note) {
      return true;
    }
  }
  return false;
}

static QfColour
colour_of(const Painter* const p, const Item* const item)
{
  const QfInks* const inks = &p->marks->inks;
  if (item->note != QF_NO_NOTE) {
    if (is_sounding(p, item->note)) {
      return inks->playing;
    }
    if (item->note == p->marks->selected_note) {
      return inks->accent;
    }
  }
  const QfColour quiet = {inks->ink.r, inks->ink.g, inks->ink.b, QUIET * inks->ink.a};
  switch (item->ink) {
    case INK_FAINT:
      return inks->faint;
    case INK_QUIET:
      return quiet;
    case INK_DIFFERS:
      return inks->playing;
    default:
      return inks->ink;
  }
}

/// A fine pen, or one that leaves gaps
static void
set_fine_pen(const Painter* const p, const double thickness, const bool is_dashed)
{
  static const double dashes[] = {0.32, 0.26};
  cairo_set_line_width(p->cr, fmax(thickness, p->pixel));
  cairo_set_line_cap(p->cr, CAIRO_LINE_CAP_BUTT);
  cairo_set_dash(p->cr, dashes, is_dashed ? 2 : 0, 0.0);
}

static void
paint_glyph(const Painter* const p, const Item* const item)
{
  const double   em    = STAFF_SPACES_IN_EM;
  cairo_glyph_t  glyph = {p->e->fonts.glyphs[item->what], item->x, item->y};
  cairo_matrix_t matrix;
  cairo_matrix_init(&matrix, em * item->stretch, 0.0, 0.0, em * item->size, 0.0, 0.0);
  cairo_set_font_face(p->cr, p->e->fonts.music);
  cairo_set_font_matrix(p->cr, &matrix);
  if (!item->is_outline) {
    cairo_show_glyphs(p->cr, &glyph, 1);
    return;
  }
  set_fine_pen(p, OUTLINE, false);
  cairo_new_path(p->cr);
  cairo_glyph_path(p->cr, &glyph, 1);
  cairo_stroke(p->cr);
}

static void
paint_ring(const Painter* const p, const Item* const item)
{
  const Box box = item->box;
  cairo_save(p->cr);
  cairo_translate(p->cr, (box.left + box.right) / 2.0, (box.top + box.bottom) / 2.0);
  cairo_scale(p->cr, (box.right - box.left) / 2.0, (box.bottom - box.top) / 2.0);
  cairo_new_path(p->cr);
  cairo_arc(p->cr, 0.0, 0.0, 1.0, 0.0, 2.0 * G_PI);
  cairo_restore(p->cr);
  set_fine_pen(p, item->size, item->is_dashed);
  cairo_stroke(p->cr);
  cairo_set_dash(p->cr, NULL, 0, 0.0);
}

/// Put one edge of a thin line on the device's pixels so that it is crisp, at least a pixel thick
static void
snap(const double pixel, const double origin, double* const from, double* const to)
{
  const double thickness = fmax(1.0, round((*to - *from) / pixel));
  const double middle    = ((*from + *to) / 2.0) / pixel + origin;
  const double start     = round(middle - thickness / 2.0);
  *from                  = (start - origin) * pixel;
  *to                    = (start + thickness - origin) * pixel;
}

static void
paint_rule(const Painter* const p, const Item* const item)
{
  Box box = item->box;
  if (p->pixel > 0.0 && box.bottom - box.top < 0.3) {
    snap(p->pixel, p->origin_y, &box.top, &box.bottom);
  } else if (p->pixel > 0.0 && box.right - box.left < 0.3) {
    snap(p->pixel, p->origin_x, &box.left, &box.right);
  }
  cairo_rectangle(p->cr, box.left, box.top, box.right - box.left, box.bottom - box.top);
  cairo_fill(p->cr);
}

static void
paint_beam(const Painter* const p, const Item* const item)
{
  cairo_move_to(p->cr, item->x, item->y);
  cairo_line_to(p->cr, item->x2, item->y2);
  cairo_line_to(p->cr, item->x2, item->y2 + item->size);
  cairo_line_to(p->cr, item->x, item->y + item->size);
  cairo_close_path(p->cr);
  cairo_fill(p->cr);
}

static void
paint_line(const Painter* const p, const Item* const item)
{
  set_fine_pen(p, item->size, item->is_dashed);
  cairo_set_line_cap(p->cr, item->is_dashed ? CAIRO_LINE_CAP_BUTT : CAIRO_LINE_CAP_ROUND);
  cairo_move_to(p->cr, item->x, item->y);
  cairo_line_to(p->cr, item->x2, item->y2);
  cairo_stroke(p->cr);
  cairo_set_dash(p->cr, NULL, 0, 0.0);
}

static void
paint_text(const Painter* const p, const Item* const item, const Page* const page)
{
  cairo_save(p->cr);
  cairo_translate(p->cr, item->x, item->y);
  cairo_scale(p->cr, 1.0 / FONTS_SCALE, 1.0 / FONTS_SCALE);
  fonts_set_text(&p->e->fonts, p->layout, page->text + item->text, (TextStyle)item->what,
                 item->size);
  cairo_move_to(p->cr, 0.0, -pango_layout_get_baseline(p->layout) / (double)PANGO_SCALE);
  pango_cairo_show_layout(p->cr, p->layout);
  cairo_restore(p->cr);
}

static void
paint_shape(const Painter* const p, const Item* const item)
{
  cairo_save(p->cr);
  cairo_translate(p->cr, item->x, item->y);
  cairo_scale(p->cr, item->size, item->size);
  shape_paint(p->cr, (Shape)item->what);
  cairo_restore(p->cr);
}

static void
paint_item(const Painter* const p, const Item* const item, const Page* const page)
{
  set_colour(p->cr, colour_of(p, item));
  switch (item->kind) {
    case ITEM_GLYPH:
      paint_glyph(p, item);
      break;
    case ITEM_RULE:
      paint_rule(p, item);
      break;
    case ITEM_SHAPE:
      paint_shape(p, item);
      break;
    case ITEM_BEAM:
      paint_beam(p, item);
      break;
    case ITEM_TIE:
      shape_paint_tie(p->cr, item->x, item->y, item->x2, item->y2, item->size);
      break;
    case ITEM_LINE:
      paint_line(p, item);
      break;
    case ITEM_TEXT:
      paint_text(p, item, page);
      break;
    case ITEM_RING:
      paint_ring(p, item);
      break;
  }
}

static bool
is_clipped(const Box box, const Box clip)
{
  const double slack = 0.2;
  return box.right + slack < clip.left || box.left - slack > clip.right ||
         box.bottom + slack < clip.top || box.top - slack > clip.bottom;
}

/// Shade a stretch of time on every system of a page it runs through
static void
paint_selection(const Painter* const p, const size_t page)
{
  const Engraving* const e = p->e;
  for (size_t i = 0; p->marks->has_selection && i < e->n_systems; ++i) {
    const System* const system = &e->systems[i];
    const BarBox* const first  = &e->bars[system->first_bar];
    const BarBox* const last   = &e->bars[system->first_bar + system->n_bars - 1];
    const QfTime        start  = qf_time_max(p->marks->selection_start, first->start);
    const QfTime        end    = qf_time_min(p->marks->selection_end, last->end);
    if (system->page != page || qf_time_compare(start, end) >= 0) {
      continue;
    }
    const bool   to_end = qf_time_compare(end, last->end) == 0;
    const double x      = engrave_x_of(e, start) - 0.7;
    const double x2     = to_end ? last->x_end : engrave_x_of(e, end) - 0.7;
    set_faded(p->cr, p->marks->inks.accent, 0.14);
    cairo_rectangle(p->cr, x, system->y + system->top + 0.6, x2 - x,
                    system->bottom - system->top - 1.2);
    cairo_fill(p->cr);
  }
}

/// A soft band where the sound is
static void
paint_playing_band(const Painter* const p, const size_t page)
{
  const System* const system = engrave_system_at(p->e, p->marks->playing_time);
  if (!p->marks->is_playing || !system || system->page != page) {
    return;
  }

  const Column* const    column = &p->e->columns[engrave_column_at(p->e, p->marks->playing_time)];
  const double           middle = column->x + HALF_HEAD;
  const double           half   = 2.1;
  const QfColour         c      = p->marks->inks.playing;
  cairo_pattern_t* const fade = cairo_pattern_create_linear(middle - half, 0.0, middle + half, 0.0);
  cairo_pattern_add_color_stop_rgba(fade, 0.0, c.r, c.g, c.b, 0.0);
  cairo_pattern_add_color_stop_rgba(fade, 0.3, c.r, c.g, c.b, 0.20 * c.a);
  cairo_pattern_add_color_stop_rgba(fade, 0.7, c.r, c.g, c.b, 0.20 * c.a);
  cairo_pattern_add_color_stop_rgba(fade, 1.0, c.r, c.g, c.b, 0.0);
  cairo_set_source(p->cr, fade);
  cairo_rectangle(p->cr, middle - half, system->y + system->top + 0.6, 2.0 * half,
                  system->bottom - system->top - 1.2);
  cairo_fill(p->cr);
  cairo_pattern_destroy(fade);
}

/// The faint head that would be written, with its ledger lines
static void
paint_caret_head(const Painter* const p, const size_t staff, const double x, const double staff_y)
{
  const Box    ink      = p->e->fonts.boxes[GLYPH_BLACK];
  const int    position = p->marks->caret_step - p->e->clef_base[staff];
  const double y        = staff_y + engrave_y_of(position);
  const Item   head     = {.what    = GLYPH_BLACK,
                           .x       = x - ink.left,
                           .y       = y - (ink.top + ink.bottom) / 2.0,
                           .size    = 1.0,
                           .stretch = 1.0};
  set_faded(p->cr, p->marks->inks.accent, 0.45);
  paint_glyph(p, &head);
  const int step  = position > TOP_POSITION ? 2 : -2;
  const int first = step > 0 ? TOP_POSITION + 2 : -2;
  for (int at = first; step * at <= step * position; at += step) {
    cairo_rectangle(p->cr, x - 0.36, staff_y + engrave_y_of(at) - 0.06, 1.92, 0.12);
    cairo_fill(p->cr);
  }
}

static void
paint_caret(const Painter* const p, const size_t page)
{
  const Engraving* const e      = p->e;
  const System* const    system = engrave_system_at(e, p->marks->caret_time);
  if (!p->marks->has_caret || !system || system->page != page ||
      p->marks->caret_voice >= e->n_voices) {
    return;
  }

  const size_t staff  = e->staff_of[p->marks->caret_voice];
  const double y      = engrave_staff_y(system, staff);
  const double x      = engrave_x_of(e, p->marks->caret_time);
  const double middle = x + HALF_HEAD;
  if (p->marks->caret_step != INT_MIN) {
    paint_caret_head(p, staff, x, y);
  }
  set_faded(p->cr, p->marks->inks.accent, 0.85);
  cairo_rectangle(p->cr, middle - 0.1, y - 2.2, 0.2, STAFF_HEIGHT + 4.4);
  cairo_fill(p->cr);
  // Feet tell the caret from a bar line without its colour, and upper from lower voice
  const int8_t side = e->side_of[p->marks->caret_voice];
  if (side >= 0) {
    cairo_rectangle(p->cr, middle - 0.55, y - 2.3, 1.1, 0.2);
  }
  if (side <= 0) {
    cairo_rectangle(p->cr, middle - 0.55, y + STAFF_HEIGHT + 2.1, 1.1, 0.2);
  }
  cairo_fill(p->cr);
}

static PangoLayout*
new_layout(cairo_t* const cr)
{
  PangoContext* const         context = pango_cairo_create_context(cr);
  cairo_font_options_t* const options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_set_font_options(cr, options);
  pango_cairo_context_set_font_options(context, options);
  pango_context_set_round_glyph_positions(context, FALSE);
  cairo_font_options_destroy(options);
  PangoLayout* const layout = pango_layout_new(context);
  g_object_unref(context);
  return layout;
}

/// On pixels, learn how large one is and where the grid lies
static void
find_pixels(Painter* const p)
{
  double sx = 0.0;
  double sy = 0.0;
  double dx = 1.0;
  double dy = 1.0;
  cairo_surface_get_device_scale(cairo_get_target(p->cr), &dx, &dy);
  const cairo_surface_type_t type = cairo_surface_get_type(cairo_get_target(p->cr));
  if (type == CAIRO_SURFACE_TYPE_PDF || type == CAIRO_SURFACE_TYPE_SVG ||
      type == CAIRO_SURFACE_TYPE_PS) {
    return;
  }
  // A recording is a window's: its units are logical pixels, whole ones at every window scale
  cairo_user_to_device(p->cr, &sx, &sy);
  double ux = 1.0;
  double uy = 1.0;
  cairo_user_to_device_distance(p->cr, &ux, &uy);
  if (ux == uy && ux > 0.0) {
    p->pixel    = 1.0 / (ux * dx);
    p->origin_x = sx * dx;
    p->origin_y = sy * dy;
  }
}

static const QfMarks plain_marks = {
  .inks = {.ink     = {0.0, 0.0, 0.0, 1.0},
           .faint   = {0.0, 0.0, 0.0, 1.0},
           .accent  = {0.0, 0.447, 0.698, 1.0},
           .playing = {0.835, 0.369, 0.0, 1.0}},
};

void
qf_engraving_paint(const QfEngraving* const e,
                   const size_t             page_index,
                   cairo_t* const           cr,
                   const QfMarks* const     marks)
{
  if (page_index >= e->n_pages) {
    return;
  }

  Painter           p    = {.e = e, .cr = cr, .marks = marks ? marks : &plain_marks};
  const Page* const page = &e->pages[page_index];
  Box               clip;
  cairo_save(cr);
  cairo_scale(cr, e->options.space, e->options.space);
  cairo_clip_extents(cr, &clip.left, &clip.top, &clip.right, &clip.bottom);
  p.layout = new_layout(cr);
  find_pixels(&p);
  find_sounding(&p);
  paint_selection(&p, page_index);
  paint_playing_band(&p, page_index);
  for (size_t i = 0; i < page->n_items; ++i) {
    if (!is_clipped(page->items[i].box, clip)) {
      paint_item(&p, &page->items[i], page);
    }
  }
  paint_caret(&p, page_index);
  g_object_unref(p.layout);
  cairo_restore(cr);
}
