// SPDX-License-Identifier: MIT
#include "qf-numeral-plate.h"

#include "qf-join.h"
#include "qf-link-face.h"
#include "qf-plate.h"

#include <adwaita.h>

static const int        join_width     = 16;
static const int        join_thickness = 5;
static const QfLinkRows no_rows        = {.rows = 0, .figure_lines = 1, .scale = 0.9};

struct _QfNumeralPlate {
  GtkWidget  parent_instance;
  QfLinkText text;
  QfLinkFace face; ///< Laid out when needed
  QfJoin     join;
};

G_DEFINE_FINAL_TYPE(QfNumeralPlate, qf_numeral_plate, GTK_TYPE_WIDGET)

static void
qf_numeral_plate_measure(GtkWidget* const     widget,
                         const GtkOrientation orientation,
                         const int            for_size,
                         int* const           minimum,
                         int* const           natural,
                         int* const           minimum_baseline,
                         int* const           natural_baseline)
{
  QfNumeralPlate* const self = QF_NUMERAL_PLATE(widget);

  (void)for_size;
  qf_link_face_lay_out(&self->face, widget, &self->text, &no_rows);
  *minimum = orientation == GTK_ORIENTATION_HORIZONTAL ? join_width + self->face.plate_width
                                                       : self->face.plate_height;
  *natural = *minimum;

  *minimum_baseline = -1;
  *natural_baseline = -1;
}

static void
qf_numeral_plate_snapshot(GtkWidget* const widget, GtkSnapshot* const snapshot)
{
  QfNumeralPlate* const self    = QF_NUMERAL_PLATE(widget);
  const QfPalette       palette = qf_palette_now();
  const float           width   = (float)gtk_widget_get_width(widget);
  const float           height  = (float)gtk_widget_get_height(widget);

  qf_link_face_lay_out(&self->face, widget, &self->text, &no_rows);
  const QfPlate          plate  = {.width    = self->face.plate_width,
                                   .height   = self->face.plate_height,
                                   .pad      = self->face.pad,
                                   .function = self->text.function,
                                   .is_known = TRUE};
  const graphene_rect_t  bounds = GRAPHENE_RECT_INIT(0.0F, 0.0F, width, height);
  const graphene_point_t offset = {(float)join_width, 0.0F};
  cairo_t* const         cr     = gtk_snapshot_append_cairo(snapshot, &bounds);
  qf_join_paint(cr, self->join.kind, 0.0, join_width, plate.height / 2.0, join_thickness, &palette);
  cairo_translate(cr, join_width, 0.0);
  qf_plate_paint(cr, plate, &palette);
  cairo_destroy(cr);

  gtk_snapshot_save(snapshot);
  gtk_snapshot_translate(snapshot, &offset);
  qf_link_face_append_numeral(&self->face, &self->text, snapshot, palette.page.ink);
  gtk_snapshot_restore(snapshot);
}

static void
qf_numeral_plate_css_changed(GtkWidget* const widget, GtkCssStyleChange* const change)
{
  GTK_WIDGET_CLASS(qf_numeral_plate_parent_class)->css_changed(widget, change);
  qf_link_face_clear(&QF_NUMERAL_PLATE(widget)->face);
  gtk_widget_queue_resize(widget);
}

static void
qf_numeral_plate_dispose(GObject* const object)
{
  qf_link_face_clear(&QF_NUMERAL_PLATE(object)->face);
  G_OBJECT_CLASS(qf_numeral_plate_parent_class)->dispose(object);
}

static void
qf_numeral_plate_class_init(QfNumeralPlateClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_numeral_plate_dispose;
  widget_class->measure          = qf_numeral_plate_measure;
  widget_class->snapshot         = qf_numeral_plate_snapshot;
  widget_class->css_changed      = qf_numeral_plate_css_changed;
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_PRESENTATION);
}

static void
qf_numeral_plate_init(QfNumeralPlate* const self)
{
  g_signal_connect_object(adw_style_manager_get_default(), "notify",
                          G_CALLBACK(gtk_widget_queue_draw), self, G_CONNECT_SWAPPED);
}

GtkWidget*
qf_numeral_plate_new(const QfNumeral* const numeral,
                     const QfMode           mode,
                     const QfInterval       motion,
                     const QfResolution     resolution)
{
  QfNumeralPlate* const self  = g_object_new(QF_TYPE_NUMERAL_PLATE, NULL);
  QfNumeralParts        parts = {0};
  const QfLabel         step  = {
             .has_next = true, .is_known = true, .motion = motion, .resolution = resolution};

  qf_numeral_parts(numeral, mode, &parts);
  self->join          = qf_join_of(&step);
  self->text.is_known = TRUE;
  self->text.function = qf_numeral_function(numeral);
  g_strlcpy(self->text.head, parts.head, sizeof(self->text.head));
  g_strlcpy(self->text.figures, parts.figures, sizeof(self->text.figures));
  g_strlcpy(self->text.tail, parts.tail, sizeof(self->text.tail));
  return GTK_WIDGET(self);
}
