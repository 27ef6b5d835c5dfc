// SPDX-License-Identifier: MIT
#include "qf-passage-private.h"

/// Keep what is typed, and what is wrong with it, in sight
static void
show_entry(QfPassageView* const self)
{
  if (gtk_widget_get_state_flags(GTK_WIDGET(self->entry)) & GTK_STATE_FLAG_FOCUS_WITHIN) {
    gtk_adjustment_set_value(self->vertical, gtk_adjustment_get_upper(self->vertical));
  }
}

static int
allocate_child(GtkWidget* const child, const int x, const int y, const int width)
{
  const int           height = qf_passage_natural_height(child);
  const GtkAllocation area   = {x, y, width, height};
  gtk_widget_size_allocate(child, &area, -1);
  return height;
}

/// The entry stands under the caret, as far as the window lets it
static int
entry_x(const QfPassageView* const self, const int entry_width, const int width)
{
  const double left  = self->horizontal ? gtk_adjustment_get_value(self->horizontal) : 0.0;
  const double page  = self->horizontal ? gtk_adjustment_get_page_size(self->horizontal) : width;
  const double right = MAX(left, MIN(left + page, width) - entry_width - QF_PASSAGE_GAP);

  return (int)CLAMP(qf_passage_x_of(self, self->marks.caret_time), left + QF_PASSAGE_GAP,
                    MAX(left + QF_PASSAGE_GAP, right));
}

void
qf_passage_place_entry(QfPassageView* const self)
{
  const int width       = gtk_widget_get_width(GTK_WIDGET(self));
  int       entry_width = 0;

  if (width > 0 && self->entry_y > 0) {
    gtk_widget_measure(GTK_WIDGET(self->entry), GTK_ORIENTATION_HORIZONTAL, -1, NULL, &entry_width,
                       NULL, NULL);
    allocate_child(GTK_WIDGET(self->entry), entry_x(self, entry_width, width), self->entry_y,
                   MIN(entry_width, width));
  }
}

static void
scrolled_cb(QfPassageView* const self)
{
  const double x     = gtk_adjustment_get_value(self->horizontal);
  const double width = gtk_adjustment_get_page_size(self->horizontal);

  qf_score_view_set_window(self->score_view, x, width);
  qf_chain_view_set_window(self->chain_view, x, width);
  qf_passage_place_entry(self);
}

void
qf_passage_keep_in_sight(QfPassageView* const self, const double x)
{
  if (!self->horizontal) {
    return;
  }

  const double left  = gtk_adjustment_get_value(self->horizontal);
  const double width = gtk_adjustment_get_page_size(self->horizontal);
  if (x < left + 0.08 * width || x > left + 0.85 * width) {
    gtk_adjustment_set_value(self->horizontal, x - 0.25 * width);
  }
}

/// A passage that grew can only now be scrolled as far as the caret went
static void
width_changed_cb(QfPassageView* const self)
{
  scrolled_cb(self);
  if (!self->marks.is_playing) {
    qf_passage_keep_in_sight(self, qf_passage_x_of(self, self->marks.caret_time));
  }
}

void
qf_passage_view_measure(GtkWidget* const     widget,
                        const GtkOrientation orientation,
                        const int            for_size,
                        int* const           minimum,
                        int* const           natural,
                        int* const           minimum_baseline,
                        int* const           natural_baseline)
{
  const QfPassageView* const self = QF_PASSAGE_VIEW(widget);
  GtkWidget* const children[]     = {GTK_WIDGET(self->score_view), GTK_WIDGET(self->chain_view),
                                     GTK_WIDGET(self->entry)};
  int              total = orientation == GTK_ORIENTATION_VERTICAL ? 3 * QF_PASSAGE_GAP : 0;

  (void)for_size;
  for (gsize i = 0; i < G_N_ELEMENTS(children); ++i) {
    int size = 0;
    gtk_widget_measure(children[i], orientation, -1, NULL, &size, NULL, NULL);
    total = orientation == GTK_ORIENTATION_VERTICAL ? total + size : MAX(total, size);
  }

  *minimum = *natural = total;
  *minimum_baseline = *natural_baseline = -1;
}

void
qf_passage_view_size_allocate(GtkWidget* const widget,
                              const int        width,
                              const int        height,
                              const int        baseline)
{
  QfPassageView* const self    = QF_PASSAGE_VIEW(widget);
  int                  natural = 0;

  (void)baseline;
  gtk_widget_measure(widget, GTK_ORIENTATION_VERTICAL, -1, NULL, &natural, NULL, NULL);
  int y = QF_PASSAGE_GAP + MAX(0, height - natural) / 3;
  y += allocate_child(GTK_WIDGET(self->score_view), 0, y, width);
  y += allocate_child(GTK_WIDGET(self->chain_view), 0, y, width) + QF_PASSAGE_GAP;
  self->entry_y = y;
  qf_passage_place_entry(self);
}

/// Where there is not enough height, show the end the user works at
static void
entry_focused_cb(QfPassageView* const self)
{
  if (self->vertical) {
    gtk_adjustment_set_value(self->vertical, gtk_adjustment_get_upper(self->vertical));
  }
}

static void
score_focused_cb(QfPassageView* const self)
{
  if (self->vertical) {
    gtk_adjustment_set_value(self->vertical, 0.0);
  }
}

static void
watch_focus(QfPassageView* const self, GtkWidget* const child, const GCallback callback)
{
  GtkEventController* const focus = gtk_event_controller_focus_new();

  g_signal_connect_swapped(focus, "enter", callback, self);
  gtk_widget_add_controller(child, focus);
}

void
qf_passage_follow_focus(QfPassageView* const self)
{
  watch_focus(self, GTK_WIDGET(self->score_view), G_CALLBACK(score_focused_cb));
  watch_focus(self, GTK_WIDGET(self->entry), G_CALLBACK(entry_focused_cb));
}

void
qf_passage_leave_window(QfPassageView* const self)
{
  if (self->horizontal) {
    g_signal_handlers_disconnect_by_data(self->horizontal, self);
    g_signal_handlers_disconnect_by_data(self->vertical, self);
  }
  g_clear_object(&self->horizontal);
  g_clear_object(&self->vertical);
}

void
qf_passage_view_root(GtkWidget* const widget)
{
  QfPassageView* const self = QF_PASSAGE_VIEW(widget);

  GTK_WIDGET_CLASS(g_type_class_peek_parent(G_OBJECT_GET_CLASS(widget)))->root(widget);
  GtkWidget* const window = gtk_widget_get_ancestor(widget, GTK_TYPE_SCROLLED_WINDOW);
  qf_passage_leave_window(self);
  if (window) {
    GtkScrolledWindow* const scrolled = GTK_SCROLLED_WINDOW(window);
    self->horizontal                  = g_object_ref(gtk_scrolled_window_get_hadjustment(scrolled));
    self->vertical                    = g_object_ref(gtk_scrolled_window_get_vadjustment(scrolled));
    g_signal_connect_swapped(self->horizontal, "value-changed", G_CALLBACK(scrolled_cb), self);
    g_signal_connect_swapped(self->horizontal, "changed", G_CALLBACK(width_changed_cb), self);
    g_signal_connect_swapped(self->vertical, "changed", G_CALLBACK(qf_passage_height_changed),
                             self);
    g_signal_connect_swapped(self->vertical, "changed", G_CALLBACK(show_entry), self);
  }
}
