// SPDX-License-Identifier: MIT
#include "qf-compare-key.h"

#include "common/qf-inks.h"

#include "quintfall/overlay.h"

#include <adwaita.h>
#include <math.h>

static const double em_of_words = 1.9; ///< Of the key's words, in staff spaces
static const double margin      = 4.0; ///< Pixels
static const double least_width = 200.0;

struct _QfCompareKey {
  GtkWidget    parent_instance;
  QfEngraving* engraving; ///< Owned
  double       width;     ///< It was laid out for; 0 for one line
  double       space;
};

G_DEFINE_FINAL_TYPE(QfCompareKey, qf_compare_key, GTK_TYPE_WIDGET)

/// Words as large as those of a caption
static double
space_now(GtkWidget* const widget)
{
  PangoContext* const               context = gtk_widget_get_pango_context(widget);
  const PangoFontDescription* const font    = pango_context_get_font_description(context);
  const double size = pango_font_description_get_size(font) / (double)PANGO_SCALE;
  const double dpi  = pango_cairo_context_get_resolution(context);
  const double unit = pango_font_description_get_size_is_absolute(font) ? 1.0 : dpi / 72.0;

  return 0.9 * size * (unit > 0.0 ? unit : 96.0 / 72.0) / em_of_words;
}

static void
lay_out(QfCompareKey* const self, const double width)
{
  const double     space   = space_now(GTK_WIDGET(self));
  QfEngraveOptions options = qf_engrave_options_screen();
  QfEngraving*     fresh   = NULL;

  if (self->engraving && self->width == width && self->space == space) {
    return;
  }
  options.space  = space;
  options.margin = margin;
  options.width  = width > 0.0 ? MAX(1.0, width - 2.0 * margin) : 0.0;
  if (!qf_overlay_key_new(options, &fresh, NULL)) {
    g_clear_pointer(&self->engraving, qf_engraving_free);
    self->engraving = fresh;
    self->width     = width;
    self->space     = space;
  }
}

static GtkSizeRequestMode
qf_compare_key_get_request_mode(GtkWidget* const widget)
{
  (void)widget;
  return GTK_SIZE_REQUEST_HEIGHT_FOR_WIDTH;
}

static void
qf_compare_key_measure(GtkWidget* const     widget,
                       const GtkOrientation orientation,
                       const int            for_size,
                       int* const           minimum,
                       int* const           natural,
                       int* const           minimum_baseline,
                       int* const           natural_baseline)
{
  QfCompareKey* const self   = QF_COMPARE_KEY(widget);
  double              width  = 0.0;
  double              height = 0.0;

  lay_out(self, orientation == GTK_ORIENTATION_VERTICAL && for_size > 0 ? for_size : 0.0);
  if (self->engraving) {
    qf_engraving_get_size(self->engraving, &width, &height);
  }
  *natural = (int)ceil(orientation == GTK_ORIENTATION_HORIZONTAL ? width : height);
  *minimum = orientation == GTK_ORIENTATION_HORIZONTAL ? (int)MIN(width, least_width) : *natural;
  *minimum_baseline = *natural_baseline = -1;
}

static void
qf_compare_key_snapshot(GtkWidget* const widget, GtkSnapshot* const snapshot)
{
  QfCompareKey* const   self   = QF_COMPARE_KEY(widget);
  const int             width  = gtk_widget_get_width(widget);
  const int             height = gtk_widget_get_height(widget);
  const graphene_rect_t area   = GRAPHENE_RECT_INIT(0.0F, 0.0F, (float)width, (float)height);

  lay_out(self, width);
  if (self->engraving && width > 0) {
    const QfMarks  marks = {.inks = qf_palette_now().page};
    cairo_t* const cr    = gtk_snapshot_append_cairo(snapshot, &area);
    qf_engraving_paint(self->engraving, 0, cr, &marks);
    cairo_destroy(cr);
  }
}

static void
qf_compare_key_dispose(GObject* const object)
{
  g_clear_pointer(&QF_COMPARE_KEY(object)->engraving, qf_engraving_free);
  G_OBJECT_CLASS(qf_compare_key_parent_class)->dispose(object);
}

static void
qf_compare_key_class_init(QfCompareKeyClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_compare_key_dispose;
  widget_class->get_request_mode = qf_compare_key_get_request_mode;
  widget_class->measure          = qf_compare_key_measure;
  widget_class->snapshot         = qf_compare_key_snapshot;
  gtk_widget_class_set_css_name(widget_class, "qf-compare-key");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
qf_compare_key_init(QfCompareKey* const self)
{
  gtk_accessible_update_property(
    GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL,
    "Key: a plain note is alike, a ringed one is the answer's where it differs, an outline is the "
    "passage's, an outline in a ring of dashes is missing, a struck one is too many",
    -1);
  g_signal_connect_object(adw_style_manager_get_default(), "notify",
                          G_CALLBACK(gtk_widget_queue_draw), self, G_CONNECT_SWAPPED);
}
