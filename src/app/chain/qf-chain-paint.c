// SPDX-License-Identifier: MIT
#include "qf-chain-private.h"

#include "common/qf-inks.h"

static gboolean
is_visible_between(const QfChainView* const self, const double left, const double right)
{
  return self->window_width <= 0.0 ||
         (right >= self->window_x && left <= self->window_x + self->window_width);
}

static void
append_text(GtkWidget* const   widget,
            GtkSnapshot* const snapshot,
            const char* const  text,
            const double       scale,
            const double       x,
            const double       align,
            const double       bottom,
            const QfColour     colour)
{
  g_autoptr(PangoLayout) layout = gtk_widget_create_pango_layout(widget, text);
  PangoAttrList* const attrs    = pango_attr_list_new();
  int                  width = 0, height = 0;
  const GdkRGBA        rgba = qf_colour_to_rgba(colour);

  pango_attr_list_insert(attrs, pango_attr_scale_new(scale));
  pango_layout_set_attributes(layout, attrs);
  pango_attr_list_unref(attrs);
  pango_layout_get_pixel_size(layout, &width, &height);
  gtk_snapshot_save(snapshot);
  gtk_snapshot_translate(
    snapshot, &GRAPHENE_POINT_INIT((float)(x - width * align), (float)(bottom - height)));
  gtk_snapshot_append_layout(snapshot, layout, &rgba);
  gtk_snapshot_restore(snapshot);
}

static void
snapshot_join(QfChainView* const     self,
              GtkSnapshot* const     snapshot,
              cairo_t* const         cr,
              const guint            index,
              const QfPalette* const palette)
{
  const QfJoin* const join   = &g_array_index(self->joins, QfJoin, index);
  const double        height = qf_link_button_get_plate_height(qf_chain_link_at(self, index));
  const double        from   = qf_chain_start_of(self, index) +
                      qf_link_button_get_plate_width(qf_chain_link_at(self, index)) + 2.0;
  const double to =
    index + 1 < self->links->len ? qf_chain_start_of(self, index + 1) - 2.0 : self->end;

  if (join->kind == QF_JOIN_NONE || to - from < 4.0 || !is_visible_between(self, from, to)) {
    return;
  }

  const double middle    = QF_CHAIN_TOP + height / 2.0;
  const double thickness = MAX(3.0, height / 9.0);
  qf_join_paint(cr, join->kind, from, to, middle, thickness, palette);
  append_text(GTK_WIDGET(self), snapshot, join->text, 0.85 * self->rows.scale, (from + to) / 2.0,
              0.5, middle - thickness / 2.0 - 1.0, palette->page.ink);
}

/// What each row is, left of the first link
static void
snapshot_headings(QfChainView* const     self,
                  GtkSnapshot* const     snapshot,
                  const QfPalette* const palette)
{
  if (!self->links->len) {
    return;
  }

  for (int row = 0; row < QF_N_SHOWS; ++row) {
    if (self->rows.rows & (1U << row)) {
      const double line = 8.0 * self->rows.scale;
      const double middle =
        QF_CHAIN_TOP + qf_link_button_get_row_middle(qf_chain_link_at(self, 0), row);
      append_text(GTK_WIDGET(self), snapshot, qf_link_row_name(row), 0.8 * self->rows.scale,
                  qf_chain_start_of(self, 0) - line, 1.0, middle + line, palette->page.faint);
    }
  }
}

static void
paint_bracket(const QfChainView* const self,
              cairo_t* const           cr,
              const QfBracket* const   bracket,
              const double             top,
              const QfPalette* const   palette)
{
  double left = 0.0, right = 0.0;
  qf_chain_bracket_ends(self, bracket, &left, &right);
  if (!is_visible_between(self, left, right)) {
    return;
  }

  const double   y      = top + 5.5;
  const gboolean is_key = bracket->kind == QF_BRACKET_KEY;
  qf_colour_set_source(is_key ? palette->page.faint : palette->page.ink, cr);
  cairo_set_line_width(cr, is_key ? 1.2 : 1.6);
  cairo_move_to(cr, left + 0.5, y - 4.0);
  cairo_line_to(cr, left + 0.5, y);
  cairo_line_to(cr, right - 0.5, y);
  cairo_line_to(cr, right - 0.5, y - 4.0);
  cairo_stroke(cr);

  // A cadence closes: its end is doubled, as a final bar line is.
  if (bracket->kind == QF_BRACKET_CADENCE) {
    cairo_set_line_width(cr, 3.0);
    cairo_move_to(cr, right - 4.5, y - 4.0);
    cairo_line_to(cr, right - 4.5, y);
    cairo_stroke(cr);
  }
}

void
qf_chain_view_snapshot(GtkWidget* const widget, GtkSnapshot* const snapshot)
{
  QfChainView* const self    = QF_CHAIN_VIEW(widget);
  const QfPalette    palette = qf_palette_now();
  const double       left    = MAX(0.0, self->window_x);
  const double width = self->window_width > 0.0 ? self->window_width : gtk_widget_get_width(widget);
  int          link_height = 0, lane_height = 0;

  qf_chain_find_heights(self, &link_height, &lane_height);
  const graphene_rect_t area =
    GRAPHENE_RECT_INIT((float)left, 0.0F, (float)width, (float)gtk_widget_get_height(widget));
  cairo_t* const cr = gtk_snapshot_append_cairo(snapshot, &area);

  for (guint i = 0; i < self->links->len; ++i) {
    snapshot_join(self, snapshot, cr, i, &palette);
  }
  for (guint i = 0; self->brackets && i < self->brackets->len; ++i) {
    const QfBracket* const bracket = &g_array_index(self->brackets, QfBracket, i);
    paint_bracket(self, cr, bracket, QF_CHAIN_TOP + link_height + bracket->lane * lane_height,
                  &palette);
    gtk_widget_snapshot_child(widget, bracket->button, snapshot);
  }
  cairo_destroy(cr);
  snapshot_headings(self, snapshot, &palette);

  for (guint i = 0; i < self->links->len; ++i) {
    GtkWidget* const button = GTK_WIDGET(qf_chain_link_at(self, i));
    const double     x      = qf_chain_start_of(self, i);
    if (is_visible_between(self, x - 4.0, x + gtk_widget_get_width(button) + 4.0)) {
      gtk_widget_snapshot_child(widget, button, snapshot);
    }
  }
}
