// SPDX-License-Identifier: MIT
#include "qf-practice-chart.h"

#include "common/qf-inks.h"

enum {
  MAX_COLUMNS  = 40, ///< The latest ones
  CHART_HEIGHT = 170,
  MARGIN       = 34,
};

struct _QfPracticeChart {
  GtkWidget parent_instance;
  GArray*   points; ///< Of #QfPracticePoint
};

G_DEFINE_FINAL_TYPE(QfPracticeChart, qf_practice_chart, GTK_TYPE_WIDGET)

/// A day since 1970 as "9 Mar" (transfer full)
static char*
day_text(const int64_t day)
{
  g_autoptr(GDateTime) date = g_date_time_new_from_unix_utc(day * 86400);
  return g_date_time_format(date, "%-d %b");
}

static void
paint_text(GtkWidget* const widget, cairo_t* const cr, const char* const text, double x, double y)
{
  PangoLayout* const layout = gtk_widget_create_pango_layout(widget, text);

  cairo_move_to(cr, x, y);
  pango_cairo_show_layout(cr, layout);
  g_object_unref(layout);
}

static void
paint_columns(QfPracticeChart* const self,
              cairo_t* const         cr,
              const double           width,
              const double           height)
{
  const QfPalette palette = qf_palette_now();
  const guint     n       = self->points->len;
  const double    step    = (width - MARGIN) / MAX(n, 6U);
  const double    floor_y = height - 22.0;

  qf_colour_set_source(qf_colour_fade(palette.page.ink, 0.6), cr);
  paint_text(GTK_WIDGET(self), cr, "100", 0.0, 0.0);
  paint_text(GTK_WIDGET(self), cr, "0 %", 0.0, floor_y - 14.0);
  for (guint i = 0; i < n; ++i) {
    const QfPracticePoint* const point = &g_array_index(self->points, QfPracticePoint, i);
    const double share = point->asked ? (double)point->right / (double)point->asked : 0.0;
    const double top   = 8.0 + (1.0 - share) * (floor_y - 8.0);

    qf_colour_set_source(qf_colour_fade(palette.page.accent, 0.75), cr);
    cairo_rectangle(cr, MARGIN + i * step + 2.0, top, MAX(2.0, step - 4.0), floor_y - top);
    cairo_fill(cr);
    if (i % MAX(1U, n / 6U) == 0) {
      g_autofree char* day = day_text(point->from_day);
      qf_colour_set_source(qf_colour_fade(palette.page.ink, 0.7), cr);
      paint_text(GTK_WIDGET(self), cr, day, MARGIN + i * step, floor_y + 2.0);
    }
  }
  qf_colour_set_source(palette.page.faint, cr);
  cairo_set_line_width(cr, 1.0);
  cairo_move_to(cr, MARGIN, floor_y + 0.5);
  cairo_line_to(cr, width, floor_y + 0.5);
  cairo_stroke(cr);
}

static void
qf_practice_chart_snapshot(GtkWidget* const widget, GtkSnapshot* const snapshot)
{
  const int width  = gtk_widget_get_width(widget);
  const int height = gtk_widget_get_height(widget);

  if (width > MARGIN && height > 0) {
    cairo_t* const cr = gtk_snapshot_append_cairo(
      snapshot, &GRAPHENE_RECT_INIT(0.0F, 0.0F, (float)width, (float)height));
    paint_columns(QF_PRACTICE_CHART(widget), cr, width, height);
    cairo_destroy(cr);
  }
}

static void
qf_practice_chart_measure(GtkWidget* const     widget,
                          const GtkOrientation orientation,
                          const int            for_size,
                          int* const           minimum,
                          int* const           natural,
                          int* const           minimum_baseline,
                          int* const           natural_baseline)
{
  (void)widget;
  (void)for_size;
  *minimum = *natural = orientation == GTK_ORIENTATION_VERTICAL ? CHART_HEIGHT : 300;
  *minimum_baseline = *natural_baseline = -1;
}

/// The chart in words
static void
name_chart(QfPracticeChart* const self)
{
  GString* const text = g_string_new("Right answers over time");

  for (guint i = 0; i < self->points->len; ++i) {
    const QfPracticePoint* const point = &g_array_index(self->points, QfPracticePoint, i);
    g_autofree char*             day   = day_text(point->from_day);
    g_string_append_printf(text, ", %s: %d of %d", day, (int)point->right, (int)point->asked);
  }
  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, text->str,
                                 -1);
  g_string_free(text, TRUE);
}

void
qf_practice_chart_show(QfPracticeChart* const self, const QfPracticeSeries* const series)
{
  const size_t first = series->n_points > MAX_COLUMNS ? series->n_points - MAX_COLUMNS : 0;

  g_array_set_size(self->points, 0);
  for (size_t i = first; i < series->n_points; ++i) {
    g_array_append_val(self->points, series->points[i]);
  }
  name_chart(self);
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

static void
qf_practice_chart_finalize(GObject* const object)
{
  g_array_unref(QF_PRACTICE_CHART(object)->points);
  G_OBJECT_CLASS(qf_practice_chart_parent_class)->finalize(object);
}

static void
qf_practice_chart_class_init(QfPracticeChartClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->finalize = qf_practice_chart_finalize;
  widget_class->snapshot          = qf_practice_chart_snapshot;
  widget_class->measure           = qf_practice_chart_measure;
  gtk_widget_class_set_css_name(widget_class, "qf-practice-chart");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
qf_practice_chart_init(QfPracticeChart* const self)
{
  self->points = g_array_new(FALSE, FALSE, sizeof(QfPracticePoint));
}
