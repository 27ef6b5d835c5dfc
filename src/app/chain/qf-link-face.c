// SPDX-License-Identifier: MIT
#include "qf-link-face.h"

#include <string.h>

static const double head_scale    = 1.35;
static const double figures_scale = 0.78;
static const double tail_scale    = 1.1;
static const double row_scale     = 0.92;

static PangoLayout*
make_layout(GtkWidget* const  widget,
            const char* const text,
            const double      scale,
            const PangoWeight weight)
{
  PangoLayout* const   layout = gtk_widget_create_pango_layout(widget, text);
  PangoAttrList* const attrs  = pango_attr_list_new();

  pango_attr_list_insert(attrs, pango_attr_scale_new(scale));
  pango_attr_list_insert(attrs, pango_attr_weight_new(weight));
  pango_layout_set_attributes(layout, attrs);
  pango_layout_set_alignment(layout, PANGO_ALIGN_CENTER);
  pango_attr_list_unref(attrs);
  return layout;
}

static void
size_of(PangoLayout* const layout, int* const width, int* const height)
{
  pango_layout_get_pixel_size(layout, width, height);
}

void
qf_link_face_clear(QfLinkFace* const face)
{
  for (int i = 0; i < QF_LINK_N_LAYOUTS; ++i) {
    g_clear_object(&face->layouts[i]);
  }
}

gboolean
qf_link_rows_has(const QfLinkRows* const rows, const int row)
{
  return (rows->rows & (1U << row)) != 0;
}

int
qf_link_rows_lines(const QfLinkRows* const rows, const int row)
{
  return (1U << row) == QF_SHOW_FIGURES ? MAX(1, rows->figure_lines) : 1;
}

static void
make_layouts(QfLinkFace* const       face,
             GtkWidget* const        widget,
             const QfLinkText* const text,
             const QfLinkRows* const rows)
{
  const gboolean    is_unsure = text->is_unsure && !text->is_pinned;
  const PangoWeight weight    = is_unsure ? PANGO_WEIGHT_NORMAL : PANGO_WEIGHT_BOLD;

  face->layouts[QF_LINK_HEAD] = make_layout(widget, text->head, head_scale * rows->scale, weight);
  face->layouts[QF_LINK_FIGURES] =
    make_layout(widget, text->figures, figures_scale * rows->scale, PANGO_WEIGHT_SEMIBOLD);
  face->layouts[QF_LINK_TAIL] =
    make_layout(widget, text->tail, tail_scale * rows->scale, PANGO_WEIGHT_NORMAL);
  pango_layout_set_line_spacing(face->layouts[QF_LINK_FIGURES], 0.8F);

  for (int row = 0; row < QF_N_SHOWS; ++row) {
    if (qf_link_rows_has(rows, row)) {
      face->layouts[QF_LINK_ROWS + row] =
        make_layout(widget, text->rows[row], row_scale * rows->scale, PANGO_WEIGHT_NORMAL);
    }
  }
}

static void
find_row_sizes(QfLinkFace* const face, const QfLinkRows* const rows)
{
  face->row_height = 0;
  for (int row = 0; row < QF_N_SHOWS; ++row) {
    PangoLayout* const layout = face->layouts[QF_LINK_ROWS + row];
    int                width = 0, height = 0;
    if (layout) {
      size_of(layout, &width, &height);
      face->row_height = MAX(face->row_height, height / pango_layout_get_line_count(layout));
      face->width      = MAX(face->width, width);
    }
  }
  for (int row = 0; row < QF_N_SHOWS; ++row) {
    face->height +=
      qf_link_rows_has(rows, row) ? face->row_height * qf_link_rows_lines(rows, row) : 0;
  }
}

void
qf_link_face_lay_out(QfLinkFace* const       face,
                     GtkWidget* const        widget,
                     const QfLinkText* const text,
                     const QfLinkRows* const rows)
{
  int head_width = 0, head_height = 0;
  int figures_width = 0, figures_height = 0;
  int tail_width = 0, tail_height = 0;

  if (face->layouts[QF_LINK_HEAD]) {
    return;
  }

  make_layouts(face, widget, text, rows);
  size_of(face->layouts[QF_LINK_HEAD], &head_width, &head_height);
  size_of(face->layouts[QF_LINK_FIGURES], &figures_width, &figures_height);
  size_of(face->layouts[QF_LINK_TAIL], &tail_width, &tail_height);

  // Two stacked figures are the tallest there is; all plates share that height.
  const int inside =
    head_width + (text->figures[0] ? figures_width + 2 : 0) + (text->tail[0] ? tail_width + 1 : 0);
  face->pad          = head_height / 3;
  face->plate_width  = MAX(inside + 2 * face->pad, head_height + face->pad);
  face->plate_height = head_height * 3 / 2;
  face->width        = face->plate_width;
  face->height       = face->plate_height + 4;
  find_row_sizes(face, rows);
}

static void
append_layout(GtkSnapshot* const snapshot,
              PangoLayout* const layout,
              const double       x,
              const double       y,
              const QfColour     colour)
{
  const graphene_point_t offset = {(float)x, (float)y};
  const GdkRGBA          rgba   = qf_colour_to_rgba(colour);

  gtk_snapshot_save(snapshot);
  gtk_snapshot_translate(snapshot, &offset);
  gtk_snapshot_append_layout(snapshot, layout, &rgba);
  gtk_snapshot_restore(snapshot);
}

void
qf_link_face_append_numeral(const QfLinkFace* const face,
                            const QfLinkText* const text,
                            GtkSnapshot* const      snapshot,
                            const QfColour          ink)
{
  int head_width = 0, head_height = 0;
  int figures_width = 0, figures_height = 0;
  int tail_width = 0, tail_height = 0;
  size_of(face->layouts[QF_LINK_HEAD], &head_width, &head_height);
  size_of(face->layouts[QF_LINK_FIGURES], &figures_width, &figures_height);
  size_of(face->layouts[QF_LINK_TAIL], &tail_width, &tail_height);

  const int figures = text->figures[0] ? figures_width + 2 : 0;
  const int tail    = text->tail[0] ? tail_width + 1 : 0;
  const int middle  = face->plate_height / 2;
  double    x       = (face->plate_width - head_width - figures - tail) / 2.0;

  append_layout(snapshot, face->layouts[QF_LINK_HEAD], x, middle - head_height / 2.0, ink);
  x += head_width;
  if (figures) {
    const gboolean is_stacked = strchr(text->figures, '\n') != NULL;
    const double   y = is_stacked ? middle - figures_height / 2.0 : middle - head_height / 2.0;
    append_layout(snapshot, face->layouts[QF_LINK_FIGURES], x + 2, y, ink);
    x += figures;
  }
  if (tail) {
    append_layout(snapshot, face->layouts[QF_LINK_TAIL], x + 1, middle - tail_height / 2.0, ink);
  }
}

void
qf_link_face_append_rows(const QfLinkFace* const face,
                         const QfLinkRows* const rows,
                         GtkSnapshot* const      snapshot,
                         const QfColour          ink)
{
  double y = face->plate_height;

  for (int row = 0; row < QF_N_SHOWS; ++row) {
    PangoLayout* const layout = face->layouts[QF_LINK_ROWS + row];
    if (layout) {
      int width = 0, height = 0;
      size_of(layout, &width, &height);
      append_layout(snapshot, layout, MAX(0.0, (face->plate_width - width) / 2.0), y, ink);
      y += face->row_height * qf_link_rows_lines(rows, row);
    }
  }
}
