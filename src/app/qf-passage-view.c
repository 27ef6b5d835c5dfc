// SPDX-License-Identifier: MIT
#include "qf-passage-view.h"

#include "qf-note-mark.h"

#include "quintfall/engrave.h"

#include <limits.h>
#include <math.h>

static const double least_space    = 6.5;   ///< Distance of staff lines, pixels
static const double usual_space    = 9.0;   ///< The chain's fonts have their own size here
static const double spaces_across  = 100.0; ///< Staff spaces the width holds, for some bars at once
static const double greatest_space = 26.0;

enum {
  GAP = 8, ///< Between score, chain and entry, pixels
};

struct _QfPassageView {
  GtkWidget       parent_instance;
  QfScoreView*    score_view; ///< Child
  QfChainView*    chain_view; ///< Child
  QfNumeralEntry* entry;      ///< Child
  QfEngraving*    engraving;  ///< Owned
  const QfScore*  score;      ///< Lent by the lesson
  const QfLabels* labels;     ///< Lent by the lesson
  QfViewSettings  view;
  QfMarks         marks;
  double          space;
  GtkAdjustment*  horizontal; ///< Of the scrolled window around, owned reference
  GtkAdjustment*  vertical;
  int             entry_y; ///< Top of the entry, once it was placed
  guint           refit_idle;
  gboolean        may_grow;  ///< While a passage is written, its staves only get smaller
  double          last_page; ///< Height of the window when the staves were last fitted
};

G_DEFINE_FINAL_TYPE(QfPassageView, qf_passage_view, GTK_TYPE_WIDGET)

static double
x_of(const QfPassageView* const self, const QfTime time)
{
  return self->engraving ? qf_engraving_x_of(self->engraving, time) : 0.0;
}

static void
place_links(QfPassageView* const self)
{
  const size_t       n_links = self->labels ? qf_labels_n_links(self->labels) : 0;
  g_autofree double* starts  = g_new0(double, n_links + 1);
  const double       end     = x_of(self, qf_score_get_end(self->score));

  for (size_t i = 0; i < n_links; ++i) {
    starts[i] = x_of(self, qf_labels_get_link(self->labels, i)->start);
  }

  qf_chain_view_place(self->chain_view, starts, end);
}

static void
lay_out(QfPassageView* const self)
{
  QfEngraveOptions options = qf_engrave_options_screen();
  QfEngraving*     fresh   = NULL;

  if (!self->score) {
    return;
  }

  const double scale = MAX(1.0, self->space * self->view.zoom / usual_space);
  qf_chain_view_set_labels(self->chain_view, self->labels, self->score, &self->view, scale);
  options.space                  = self->space * self->view.zoom;
  options.width                  = 0.0;
  options.page_height            = 0.0;
  options.rows                   = 0;
  options.has_title              = false;
  options.naming                 = self->view.naming;
  options.solfege                = self->view.solfege;
  options.courtesy_across_voices = self->view.has_courtesy;
  options.min_link_width         = qf_chain_view_get_pitch(self->chain_view);
  if (qf_engraving_new(self->score, self->labels, options, &fresh, NULL)) {
    return; // Out of memory: the layout before stays on show
  }

  qf_score_view_set_engraving(self->score_view, fresh);
  g_clear_pointer(&self->engraving, qf_engraving_free);
  self->engraving = fresh;
  place_links(self);
}

static int
natural_height(GtkWidget* const widget)
{
  int natural = 0;
  gtk_widget_measure(widget, GTK_ORIENTATION_VERTICAL, -1, NULL, &natural, NULL, NULL);
  return natural;
}

/// Staff size at which the passage would fill the height there is
static double
fitting_space(const QfPassageView* const self)
{
  double width = 0.0, height = 0.0;

  qf_engraving_get_size(self->engraving, &width, &height);
  const double page    = gtk_adjustment_get_page_size(self->vertical);
  const double across  = gtk_adjustment_get_page_size(self->horizontal) / spaces_across;
  const double fixed   = natural_height(GTK_WIDGET(self->entry)) + 3.0 * GAP;
  const double growing = height / self->view.zoom + natural_height(GTK_WIDGET(self->chain_view));
  const double fitting = self->space * (page - fixed) / MAX(1.0, growing);

  return CLAMP(MIN(fitting, across), least_space, greatest_space);
}

/// The height does not grow quite evenly with the staff size, so it is tried more than once
static gboolean
refit_cb(gpointer data)
{
  QfPassageView* const self = data;

  self->refit_idle = 0;
  if (!self->engraving || !self->vertical || gtk_adjustment_get_page_size(self->vertical) <= 1.0) {
    return G_SOURCE_REMOVE;
  }

  for (int trial = 0; trial < 3; ++trial) {
    const double space = fitting_space(self);
    if (fabs(space - self->space) <= 0.02 * self->space ||
        (space > self->space && !self->may_grow)) {
      break;
    }
    self->space = space;
    lay_out(self);
  }

  self->may_grow = FALSE;
  return G_SOURCE_REMOVE;
}

static void
schedule_refit(QfPassageView* const self)
{
  if (!self->refit_idle) {
    self->refit_idle = g_idle_add(refit_cb, self);
  }
}

void
qf_passage_view_fit(QfPassageView* const self)
{
  self->may_grow = TRUE;
  schedule_refit(self);
}

static void
height_changed_cb(QfPassageView* const self)
{
  const double page = gtk_adjustment_get_page_size(self->vertical);
  self->may_grow    = self->may_grow || page != self->last_page;
  self->last_page   = page;
  schedule_refit(self);
}

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
  const int           height = natural_height(child);
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
  const double right = MAX(left, MIN(left + page, width) - entry_width - GAP);

  return (int)CLAMP(x_of(self, self->marks.caret_time), left + GAP, MAX(left + GAP, right));
}

/// Put the entry where caret and window want it; they change more often than the layout
static void
place_entry(QfPassageView* const self)
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
  place_entry(self);
}

/// Scroll so that a place stands well inside the window
static void
keep_in_sight(QfPassageView* const self, const double x)
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
    keep_in_sight(self, x_of(self, self->marks.caret_time));
  }
}

static size_t
link_at(const QfPassageView* const self, const QfTime time)
{
  return self->labels && time.num >= 0 ? qf_labels_link_at(self->labels, time) : SIZE_MAX;
}

static void
update_marks(QfPassageView* const self)
{
  const size_t current = link_at(self, self->marks.caret_time);
  const size_t playing =
    self->marks.is_playing ? link_at(self, self->marks.playing_time) : SIZE_MAX;

  self->marks.has_selection = current != SIZE_MAX;
  if (self->marks.has_selection) {
    const QfLabel* const label  = qf_labels_get_link(self->labels, current);
    self->marks.selection_start = label->start;
    self->marks.selection_end   = label->end;
  }

  qf_score_view_set_marks(self->score_view, &self->marks);
  qf_chain_view_set_marks(self->chain_view, current, playing);
}

void
qf_passage_view_show(QfPassageView* const  self,
                     const QfScore* const  score,
                     const QfLabels* const labels,
                     const QfViewSettings  view)
{
  self->score  = score;
  self->labels = labels;
  self->view   = view;
  qf_score_view_take_signs(self->score_view,
                           view.has_foreign_signs ? qf_note_signs_of(labels) : NULL);
  lay_out(self);
  schedule_refit(self);
  update_marks(self);
}

void
qf_passage_view_set_caret(QfPassageView* const self,
                          const size_t         voice,
                          const QfTime         time,
                          const char* const    name)
{
  const QfNote* const note = self->score ? qf_score_note_at(self->score, voice, time) : NULL;

  self->marks.has_caret     = true;
  self->marks.caret_voice   = voice;
  self->marks.caret_time    = time;
  self->marks.selected_note = note ? note->id : QF_NO_NOTE;
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->score_view), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 name, -1);
  update_marks(self);
  if (!self->marks.is_playing) {
    keep_in_sight(self, x_of(self, time));
  }
  place_entry(self);
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

void
qf_passage_view_set_playing(QfPassageView* const self, const gboolean is_playing, const QfTime time)
{
  const bool has_place = is_playing && time.num >= 0;
  if (self->marks.is_playing == has_place &&
      (!has_place || !qf_time_compare(self->marks.playing_time, time))) {
    return;
  }

  self->marks.is_playing   = has_place;
  self->marks.playing_time = time;
  update_marks(self);
  if (has_place) {
    keep_in_sight(self, x_of(self, time));
  }
}

gboolean
qf_passage_view_hit(const QfPassageView* const self,
                    const double               x,
                    const double               y,
                    QfHit* const               hit)
{
  return self->engraving && qf_engraving_hit(self->engraving, x, y, hit);
}

QfScoreView*
qf_passage_view_get_score_view(const QfPassageView* const self)
{
  return self->score_view;
}

QfChainView*
qf_passage_view_get_chain_view(const QfPassageView* const self)
{
  return self->chain_view;
}

QfNumeralEntry*
qf_passage_view_get_entry(const QfPassageView* const self)
{
  return self->entry;
}

static void
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
  int              total          = orientation == GTK_ORIENTATION_VERTICAL ? 3 * GAP : 0;

  (void)for_size;
  for (gsize i = 0; i < G_N_ELEMENTS(children); ++i) {
    int size = 0;
    gtk_widget_measure(children[i], orientation, -1, NULL, &size, NULL, NULL);
    total = orientation == GTK_ORIENTATION_VERTICAL ? total + size : MAX(total, size);
  }

  *minimum = *natural = total;
  *minimum_baseline = *natural_baseline = -1;
}

static void
qf_passage_view_size_allocate(GtkWidget* const widget,
                              const int        width,
                              const int        height,
                              const int        baseline)
{
  QfPassageView* const self    = QF_PASSAGE_VIEW(widget);
  int                  natural = 0;

  (void)baseline;
  gtk_widget_measure(widget, GTK_ORIENTATION_VERTICAL, -1, NULL, &natural, NULL, NULL);
  int y = GAP + MAX(0, height - natural) / 3;
  y += allocate_child(GTK_WIDGET(self->score_view), 0, y, width);
  y += allocate_child(GTK_WIDGET(self->chain_view), 0, y, width) + GAP;
  self->entry_y = y;
  place_entry(self);
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

static void
leave_window(QfPassageView* const self)
{
  if (self->horizontal) {
    g_signal_handlers_disconnect_by_data(self->horizontal, self);
    g_signal_handlers_disconnect_by_data(self->vertical, self);
  }
  g_clear_object(&self->horizontal);
  g_clear_object(&self->vertical);
}

static void
qf_passage_view_root(GtkWidget* const widget)
{
  QfPassageView* const self = QF_PASSAGE_VIEW(widget);

  GTK_WIDGET_CLASS(qf_passage_view_parent_class)->root(widget);
  GtkWidget* const window = gtk_widget_get_ancestor(widget, GTK_TYPE_SCROLLED_WINDOW);
  leave_window(self);
  if (window) {
    GtkScrolledWindow* const scrolled = GTK_SCROLLED_WINDOW(window);
    self->horizontal                  = g_object_ref(gtk_scrolled_window_get_hadjustment(scrolled));
    self->vertical                    = g_object_ref(gtk_scrolled_window_get_vadjustment(scrolled));
    g_signal_connect_swapped(self->horizontal, "value-changed", G_CALLBACK(scrolled_cb), self);
    g_signal_connect_swapped(self->horizontal, "changed", G_CALLBACK(width_changed_cb), self);
    g_signal_connect_swapped(self->vertical, "changed", G_CALLBACK(height_changed_cb), self);
    g_signal_connect_swapped(self->vertical, "changed", G_CALLBACK(show_entry), self);
  }
}

static void
qf_passage_view_dispose(GObject* const object)
{
  QfPassageView* const self = QF_PASSAGE_VIEW(object);

  leave_window(self);
  g_clear_handle_id(&self->refit_idle, g_source_remove);
  if (self->score_view) {
    qf_score_view_set_engraving(self->score_view, NULL);
    gtk_widget_unparent(GTK_WIDGET(self->score_view));
    gtk_widget_unparent(GTK_WIDGET(self->chain_view));
    gtk_widget_unparent(GTK_WIDGET(self->entry));
    self->score_view = NULL;
  }
  g_clear_pointer(&self->engraving, qf_engraving_free);
  G_OBJECT_CLASS(qf_passage_view_parent_class)->dispose(object);
}

static void
qf_passage_view_class_init(QfPassageViewClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_passage_view_dispose;
  widget_class->measure          = qf_passage_view_measure;
  widget_class->size_allocate    = qf_passage_view_size_allocate;
  widget_class->root             = qf_passage_view_root;
  gtk_widget_class_set_css_name(widget_class, "qf-passage");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
}

static void
qf_passage_view_init(QfPassageView* const self)
{
  GtkWidget* const widget = GTK_WIDGET(self);

  self->space            = usual_space;
  self->view.zoom        = 1.0;
  self->marks.caret_step = INT_MIN;
  self->score_view       = g_object_new(QF_TYPE_SCORE_VIEW, NULL);
  self->chain_view       = g_object_new(QF_TYPE_CHAIN_VIEW, NULL);
  self->entry            = g_object_new(QF_TYPE_NUMERAL_ENTRY, NULL);
  gtk_widget_set_parent(GTK_WIDGET(self->score_view), widget);
  gtk_widget_set_parent(GTK_WIDGET(self->chain_view), widget);
  gtk_widget_set_parent(GTK_WIDGET(self->entry), widget);
  watch_focus(self, GTK_WIDGET(self->score_view), G_CALLBACK(score_focused_cb));
  watch_focus(self, GTK_WIDGET(self->entry), G_CALLBACK(entry_focused_cb));
  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, "Passage",
                                 -1);
}
