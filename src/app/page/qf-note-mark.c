// SPDX-License-Identifier: MIT
#include "qf-note-mark.h"

#include <math.h>

static const double margin      = 200.0; ///< Pixels a note may stand beyond its link's start
static const double sign_size   = 1.05;  ///< Of the letters, in heights of a note head
static const double given_space = 0.3;   ///< Around the head, in heights of a note head
static const double ring_space  = 0.45;  ///< Around the head, in heights of a note head

GArray*
qf_note_signs_of(const QfLabels* const labels)
{
  GArray* const signs = g_array_new(FALSE, FALSE, sizeof(QfNoteSign));

  for (size_t i = 0; labels && i < qf_labels_n_links(labels); ++i) {
    const QfLabel* const label = qf_labels_get_link(labels, i);
    for (size_t f = 0; f < label->n_foreign; ++f) {
      const QfNoteSign sign = {label->foreign[f].note, label->start, label->foreign[f].kind};
      g_array_append_val(signs, sign);
    }
  }

  return signs;
}

gboolean
qf_note_find_kind(const QfLabels* const labels,
                  const QfTime          time,
                  const uint32_t        note,
                  QfForeignKind* const  kind)
{
  const size_t         link  = labels ? qf_labels_link_at(labels, time) : SIZE_MAX;
  const QfLabel* const label = link != SIZE_MAX ? qf_labels_get_link(labels, link) : NULL;

  for (size_t i = 0; label && i < label->n_foreign; ++i) {
    if (label->foreign[i].note == note) {
      *kind = label->foreign[i].kind;
      return TRUE;
    }
  }

  return FALSE;
}

static gboolean
is_painted(const QfEngraving* const engraving,
           const QfPaintedPart      part,
           const QfTime             from,
           const QfTime             to)
{
  return qf_engraving_x_of(engraving, to) >= part.left - margin &&
         qf_engraving_x_of(engraving, from) <= part.right + margin;
}

static void
paint_sign(const char* const      text,
           const double           x,
           const double           middle,
           const double           unit,
           GtkWidget* const       widget,
           cairo_t* const         cr,
           const QfPalette* const palette)
{
  g_autoptr(PangoLayout) layout    = gtk_widget_create_pango_layout(widget, text);
  PangoFontDescription* const font = pango_font_description_copy(
    pango_context_get_font_description(pango_layout_get_context(layout)));
  int width = 0, height = 0;

  pango_font_description_set_absolute_size(font, sign_size * unit * PANGO_SCALE);
  pango_font_description_set_weight(font, PANGO_WEIGHT_SEMIBOLD);
  pango_layout_set_font_description(layout, font);
  pango_font_description_free(font);
  pango_layout_get_pixel_size(layout, &width, &height);

  // Staff lines would run through the letters.
  qf_colour_set_source(qf_colour_fade(palette->paper, 0.75), cr);
  cairo_rectangle(cr, x - 1.0, middle - 0.45 * height, width + 2.0, 0.9 * height);
  cairo_fill(cr);
  qf_colour_set_source(palette->page.ink, cr);
  cairo_move_to(cr, x, middle - 0.5 * height);
  pango_cairo_show_layout(cr, layout);
}

void
qf_note_signs_paint(const GArray* const      signs,
                    const QfEngraving* const engraving,
                    const QfPaintedPart      part,
                    GtkWidget* const         widget,
                    cairo_t* const           cr,
                    const QfPalette* const   palette)
{
  for (guint i = 0; i < signs->len; ++i) {
    const QfNoteSign* const sign = &g_array_index(signs, QfNoteSign, i);
    const char* const       text = qf_foreign_kind_sign(sign->kind);
    double                  x = 0.0, y = 0.0, width = 0.0, height = 0.0;

    if (is_painted(engraving, part, sign->time, sign->time) &&
        qf_engraving_note_box(engraving, sign->note, &x, &y, &width, &height)) {
      // Right below the head, where neither kind of stem is and the next note is not yet.
      paint_sign(text[0] ? text : "?", x + 0.4 * width, y + 1.65 * height, height, widget, cr,
                 palette);
    }
  }
}

static void
rounded_rectangle(cairo_t* const cr,
                  const double   x,
                  const double   y,
                  const double   width,
                  const double   height,
                  const double   radius)
{
  cairo_new_sub_path(cr);
  cairo_arc(cr, x + width - radius, y + radius, radius, -G_PI_2, 0.0);
  cairo_arc(cr, x + width - radius, y + height - radius, radius, 0.0, G_PI_2);
  cairo_arc(cr, x + radius, y + height - radius, radius, G_PI_2, G_PI);
  cairo_arc(cr, x + radius, y + radius, radius, G_PI, 3.0 * G_PI_2);
  cairo_close_path(cr);
}

/// An error's ring is whole, any other's is dashed; the chosen finding's are thick
static void
set_line(cairo_t* const cr, const QfNoteRing* const ring, const double head)
{
  static const double dashes[] = {3.0, 2.5};
  const gboolean      is_whole = ring->severity == QF_SEVERITY_ERROR || ring->is_chosen;

  cairo_set_dash(cr, dashes, is_whole ? 0 : 2, 0.0);
  cairo_set_line_width(cr, MAX(1.2, head * (ring->is_chosen ? 0.26 : 0.12)));
}

void
qf_note_rings_paint(const GArray* const      rings,
                    const QfEngraving* const engraving,
                    const QfPaintedPart      part,
                    cairo_t* const           cr,
                    const QfPalette* const   palette)
{
  for (guint i = 0; i < rings->len; ++i) {
    const QfNoteRing* const ring = &g_array_index(rings, QfNoteRing, i);
    double                  x = 0.0, y = 0.0, width = 0.0, height = 0.0;

    if (!is_painted(engraving, part, ring->from, ring->to) ||
        !qf_engraving_note_box(engraving, ring->note, &x, &y, &width, &height)) {
      continue;
    }

    const double space = ring_space * height;
    const double tall  = height + 2.0 * space;
    set_line(cr, ring, height);
    qf_colour_set_source(palette->page.playing, cr);
    rounded_rectangle(cr, x - space, y - space, width + 2.0 * space, tall, tall / 2.0);
    cairo_stroke(cr);
  }

  cairo_set_dash(cr, NULL, 0, 0.0);
}

void
qf_given_notes_paint(const GArray* const      notes,
                     const QfEngraving* const engraving,
                     const QfPaintedPart      part,
                     cairo_t* const           cr,
                     const QfPalette* const   palette)
{
  for (guint i = 0; i < notes->len; ++i) {
    double x = 0.0, y = 0.0, width = 0.0, height = 0.0;

    if (!qf_engraving_note_box(engraving, g_array_index(notes, uint32_t, i), &x, &y, &width,
                               &height) ||
        x + width < part.left || x > part.right) {
      continue;
    }

    const double space = given_space * height;
    cairo_rectangle(cr, x - space, y - space, width + 2.0 * space, height + 2.0 * space);
    qf_colour_set_source(qf_colour_fade(palette->page.ink, 0.1), cr);
    cairo_fill_preserve(cr);
    qf_colour_set_source(qf_colour_fade(palette->page.ink, 0.55), cr);
    cairo_set_line_width(cr, 1.0);
    cairo_stroke(cr);
  }
}
