// SPDX-License-Identifier: MIT
#include "qf-circle-view.h"

#include "common/qf-names.h"
#include "qf-circle-paint.h"

#include <adwaita.h>
#include <string.h>

enum {
  LEAST_SIDE = 230,
  MOST_SIDE  = 520,
};

struct _QfCircleView {
  GtkWidget    parent_instance;
  QfCirclePath path; ///< Owns its steps
};

G_DEFINE_FINAL_TYPE(QfCircleView, qf_circle_view, GTK_TYPE_WIDGET)

static void
qf_circle_view_snapshot(GtkWidget* const widget, GtkSnapshot* const snapshot)
{
  const QfCircleView* const self   = QF_CIRCLE_VIEW(widget);
  const int                 width  = gtk_widget_get_width(widget);
  const int                 height = gtk_widget_get_height(widget);
  const graphene_rect_t     area   = GRAPHENE_RECT_INIT(0.0F, 0.0F, (float)width, (float)height);
  cairo_t* const            cr     = gtk_snapshot_append_cairo(snapshot, &area);

  qf_circle_paint(&self->path, widget, cr, width, height);
  cairo_destroy(cr);
}

static void
qf_circle_view_measure(GtkWidget* const     widget,
                       const GtkOrientation orientation,
                       const int            for_size,
                       int* const           minimum,
                       int* const           natural,
                       int* const           minimum_baseline,
                       int* const           natural_baseline)
{
  (void)widget;
  *minimum          = LEAST_SIDE;
  *natural          = orientation == GTK_ORIENTATION_VERTICAL && for_size > 0
                        ? CLAMP(for_size, LEAST_SIDE, MOST_SIDE)
                        : 300;
  *minimum_baseline = *natural_baseline = -1;
}

static GtkSizeRequestMode
qf_circle_view_get_request_mode(GtkWidget* const widget)
{
  (void)widget;
  return GTK_SIZE_REQUEST_HEIGHT_FOR_WIDTH;
}

/// The path in words
static void
update_name(QfCircleView* const self)
{
  g_autoptr(GString) words = g_string_new("Circle of fifths");
  size_t first = 0, last = 0;
  char   name[40];

  qf_circle_path_window(&self->path, &first, &last);
  g_string_append(words, first < last ? ". Path of the roots:" : ", empty");
  for (size_t i = first; i < last; ++i) {
    const QfCircleStep* const step = &g_array_index(self->path.steps, QfCircleStep, i);
    qf_note_name_speak(step->root, self->path.naming, name, sizeof(name));
    g_string_append_printf(words, "%s %zu %s", i > first ? "," : "", i + 1,
                           step->is_known ? name : "unknown");
  }
  if (self->path.playing < self->path.steps->len) {
    g_string_append_printf(words, ". Sounding: %zu", self->path.playing + 1);
  }

  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, words->str,
                                 -1);
}

static void
fill_step(QfCircleStep* const step, const QfLabel* const label)
{
  *step = (QfCircleStep){.key = label->key, .is_known = label->is_known};
  if (!label->is_known) {
    g_strlcpy(step->head, "?", sizeof(step->head));
    return;
  }

  QfNumeralParts parts = {0};
  qf_numeral_parts(&label->numeral, label->key.mode, &parts);
  step->root     = label->chord.root;
  step->function = qf_numeral_function(&label->numeral);
  step->is_kept  = label->has_next && qf_root_motion_is_falling_fifth(label->motion);
  g_strlcpy(step->head, parts.head, sizeof(step->head));
  g_strlcpy(step->tail, parts.tail, sizeof(step->tail));
  qf_figures_write_in_line(parts.figures, step->figures, sizeof(step->figures));
}

void
qf_circle_view_set_labels(QfCircleView* const   self,
                          const QfLabels* const labels,
                          const QfNamingKind    naming)
{
  const size_t n_links = labels ? qf_labels_n_links(labels) : 0;

  self->path.naming = naming;
  g_array_set_size(self->path.steps, (guint)n_links);
  for (size_t i = 0; i < n_links; ++i) {
    fill_step(&g_array_index(self->path.steps, QfCircleStep, i), qf_labels_get_link(labels, i));
  }

  update_name(self);
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

void
qf_circle_view_set_marks(QfCircleView* const self, const size_t current, const size_t playing)
{
  if (self->path.current != current || self->path.playing != playing) {
    self->path.current = current;
    self->path.playing = playing;
    if (playing != SIZE_MAX || current != SIZE_MAX) {
      self->path.centre = playing != SIZE_MAX ? playing : current;
    }
    update_name(self);
    gtk_widget_queue_draw(GTK_WIDGET(self));
  }
}

static void
style_changed_cb(QfCircleView* const self)
{
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

static void
qf_circle_view_finalize(GObject* const object)
{
  g_clear_pointer(&QF_CIRCLE_VIEW(object)->path.steps, g_array_unref);
  G_OBJECT_CLASS(qf_circle_view_parent_class)->finalize(object);
}

static void
qf_circle_view_class_init(QfCircleViewClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->finalize = qf_circle_view_finalize;
  widget_class->measure           = qf_circle_view_measure;
  widget_class->get_request_mode  = qf_circle_view_get_request_mode;
  widget_class->snapshot          = qf_circle_view_snapshot;
  gtk_widget_class_set_css_name(widget_class, "qf-circle");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
qf_circle_view_init(QfCircleView* const self)
{
  self->path.steps   = g_array_new(FALSE, TRUE, sizeof(QfCircleStep));
  self->path.current = SIZE_MAX;
  self->path.playing = SIZE_MAX;
  g_signal_connect_object(adw_style_manager_get_default(), "notify", G_CALLBACK(style_changed_cb),
                          self, G_CONNECT_SWAPPED);
}
