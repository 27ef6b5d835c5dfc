// SPDX-License-Identifier: MIT
#include "qf-chain-view.h"

#include "qf-bracket.h"
#include "qf-inks.h"
#include "qf-join.h"
#include "qf-link-button.h"

#include <adwaita.h>
#include <math.h>
#include <string.h>

enum {
  TOP        = 6, ///< Room above the plates, pixels
  LANE_SPACE = 8, ///< Room for a bracket's line above its words
  JOIN_ROOM  = 34,
};

struct _QfChainView {
  GtkWidget  parent_instance;
  GPtrArray* links;    ///< Of #QfLinkButton children
  GArray*    joins;    ///< Of #QfJoin, one a link
  GArray*    starts;   ///< Of double, one a link
  GArray*    brackets; ///< Of #QfBracket
  double     end;
  QfLinkRows rows;
  size_t     current;
  size_t     playing;
  double     window_x;
  double     window_width;
};

G_DEFINE_FINAL_TYPE(QfChainView, qf_chain_view, GTK_TYPE_WIDGET)

enum { CHOSEN, TYPED, N_SIGNALS };
static guint signals[N_SIGNALS];

static QfLinkButton*
link_at(const QfChainView* const self, const size_t index)
{
  return QF_LINK_BUTTON(g_ptr_array_index(self->links, index));
}

static double
start_of(const QfChainView* const self, const size_t index)
{
  return index < self->starts->len ? g_array_index(self->starts, double, index) : 0.0;
}

static void
chosen_cb(QfLinkButton* const button, QfChainView* const self)
{
  g_signal_emit(self, signals[CHOSEN], 0, (guint)qf_link_button_get_index(button));
}

static void
resize_pool(QfChainView* const self, const size_t n_links)
{
  while (self->links->len > n_links) {
    GtkWidget* const last = g_ptr_array_index(self->links, self->links->len - 1);
    g_ptr_array_set_size(self->links, (int)self->links->len - 1);
    gtk_widget_unparent(last);
  }

  while (self->links->len < n_links) {
    GtkWidget* const button = qf_link_button_new();
    g_signal_connect(button, "chosen", G_CALLBACK(chosen_cb), self);
    gtk_widget_set_parent(button, GTK_WIDGET(self));
    g_ptr_array_add(self->links, button);
  }
}

/// Name of the highest note that sounds when a link begins
static bool
top_note(const QfScore* const score, const QfTime time, QfNoteName* const name)
{
  for (size_t v = 0; v < qf_score_n_voices(score); ++v) {
    const QfNote* const note = qf_score_note_at(score, v, time);
    if (note) {
      *name = qf_pitch_name(note->pitch);
      return true;
    }
  }

  return false;
}

static int
count_lines(const char* text)
{
  int lines = 1;
  for (; *text; ++text) {
    lines += *text == '\n';
  }

  return lines;
}

void
qf_chain_view_set_labels(QfChainView* const          self,
                         const QfLabels* const       labels,
                         const QfScore* const        score,
                         const QfViewSettings* const view,
                         const double                scale)
{
  const size_t n_links    = labels ? qf_labels_n_links(labels) : 0;
  g_autoptr(GArray) texts = g_array_sized_new(FALSE, TRUE, sizeof(QfLinkText), (guint)n_links);

  resize_pool(self, n_links);
  g_array_set_size(self->joins, (guint)n_links);
  g_array_set_size(texts, (guint)n_links);
  self->rows = (QfLinkRows){view->rows, 1, scale};

  for (size_t i = 0; i < n_links; ++i) {
    const QfLabel* const label   = qf_labels_get_link(labels, i);
    QfLinkText* const    text    = &g_array_index(texts, QfLinkText, i);
    QfNoteName           top     = {0, 0};
    const bool           has_top = top_note(score, label->start, &top);

    qf_link_text_fill(text, label, i, has_top ? &top : NULL, view);
    // Row 2 is the figured bass, the only one that may need more lines.
    self->rows.figure_lines = MAX(self->rows.figure_lines, count_lines(text->rows[2]));
    g_array_index(self->joins, QfJoin, i) = qf_join_of(label);
  }

  for (size_t i = 0; i < n_links; ++i) {
    qf_link_button_set_text(link_at(self, i), &g_array_index(texts, QfLinkText, i), self->rows);
  }

  self->brackets = qf_brackets_of(labels, self->brackets, GTK_WIDGET(self), view->naming, scale);
  gtk_widget_queue_resize(GTK_WIDGET(self));
}

int
qf_chain_view_get_pitch(QfChainView* const self)
{
  int widest = 0;
  for (guint i = 0; i < self->links->len; ++i) {
    int width = 0;
    gtk_widget_measure(GTK_WIDGET(link_at(self, i)), GTK_ORIENTATION_HORIZONTAL, -1, &width, NULL,
                       NULL, NULL);
    widest = MAX(widest, width);
  }

  return widest ? widest + (int)(JOIN_ROOM * self->rows.scale) : 0;
}

void
qf_chain_view_place(QfChainView* const self, const double* const starts, const double end)
{
  g_array_set_size(self->starts, 0);
  g_array_append_vals(self->starts, starts, self->links->len);
  self->end = end;
  gtk_widget_queue_resize(GTK_WIDGET(self));
}

void
qf_chain_view_set_marks(QfChainView* const self, const size_t current, const size_t playing)
{
  const size_t touched[] = {self->current, self->playing, current, playing};

  self->current = current;
  self->playing = playing;
  for (gsize i = 0; i < G_N_ELEMENTS(touched); ++i) {
    if (touched[i] < self->links->len) {
      qf_link_button_set_state(link_at(self, touched[i]), touched[i] == current,
                               touched[i] == playing);
    }
  }
}

void
qf_chain_view_focus_current(QfChainView* const self)
{
  if (self->current < self->links->len) {
    gtk_widget_grab_focus(GTK_WIDGET(link_at(self, self->current)));
  }
}

/// Height of the tallest link and of one line of words under it
static void
find_heights(QfChainView* const self, int* const link_height, int* const lane_height)
{
  *link_height = 0;
  *lane_height = 0;
  if (self->links->len) {
    gtk_widget_measure(GTK_WIDGET(link_at(self, 0)), GTK_ORIENTATION_VERTICAL, -1, link_height,
                       NULL, NULL, NULL);
  }
  if (self->brackets && self->brackets->len) {
    GtkWidget* const label = g_array_index(self->brackets, QfBracket, 0).label;
    gtk_widget_measure(label, GTK_ORIENTATION_VERTICAL, -1, NULL, lane_height, NULL, NULL);
    *lane_height += LANE_SPACE;
  }
}

static void
qf_chain_view_measure(GtkWidget* const     widget,
                      const GtkOrientation orientation,
                      const int            for_size,
                      int* const           minimum,
                      int* const           natural,
                      int* const           minimum_baseline,
                      int* const           natural_baseline)
{
  QfChainView* const self        = QF_CHAIN_VIEW(widget);
  int                link_height = 0;
  int                lane_height = 0;

  (void)for_size;
  find_heights(self, &link_height, &lane_height);
  const int lanes = self->brackets ? qf_brackets_n_lanes(self->brackets) : 0;
  *minimum = *natural = orientation == GTK_ORIENTATION_HORIZONTAL
                          ? (int)ceil(self->end)
                          : TOP + link_height + lanes * lane_height + TOP;
  *minimum_baseline = *natural_baseline = -1;
}

/// Left and right end of a bracket
static void
bracket_ends(const QfChainView* const self,
             const QfBracket* const   bracket,
             double* const            left,
             double* const            right)
{
  int width = 0;
  gtk_widget_measure(GTK_WIDGET(link_at(self, bracket->last)), GTK_ORIENTATION_HORIZONTAL, -1,
                     &width, NULL, NULL, NULL);
  *left  = start_of(self, bracket->first);
  *right = start_of(self, bracket->last) + width;
}

/// Where the next bracket of the same lane begins, or the passage's end
static double
next_in_lane(const QfChainView* const self, const QfBracket* const bracket)
{
  double next = self->end;

  for (guint i = 0; i < self->brackets->len; ++i) {
    const QfBracket* const other = &g_array_index(self->brackets, QfBracket, i);
    if (other->lane == bracket->lane && other->first > bracket->first) {
      next = MIN(next, start_of(self, other->first));
    }
  }

  return next;
}

/**
   Put the words under their brackets.

   They may run past a short bracket where the lane is free, and stay in sight
   while a part of their bracket is.
*/
static void
allocate_brackets(QfChainView* const self, const int top, const int lane_height)
{
  for (guint i = 0; self->brackets && i < self->brackets->len; ++i) {
    const QfBracket* const bracket = &g_array_index(self->brackets, QfBracket, i);
    double                 left = 0.0, right = 0.0;
    int                    minimum = 0, natural = 0;

    bracket_ends(self, bracket, &left, &right);
    gtk_widget_measure(bracket->label, GTK_ORIENTATION_HORIZONTAL, -1, &minimum, &natural, NULL,
                       NULL);
    const double sight = MIN(self->window_x, right - natural - 8.0);
    const double x     = MAX(left, sight);
    const double room  = MAX(right, next_in_lane(self, bracket)) - x;

    const GtkAllocation area = {(int)x + 4, top + bracket->lane * lane_height + LANE_SPACE,
                                CLAMP((int)room - 8, minimum, MAX(minimum, natural)),
                                lane_height - LANE_SPACE};
    gtk_widget_size_allocate(bracket->label, &area, -1);
  }
}

void
qf_chain_view_set_window(QfChainView* const self, const double x, const double width)
{
  if (x != self->window_x || width != self->window_width) {
    self->window_x     = x;
    self->window_width = width;
    // Only the words under the brackets move; asking for an allocation here could come
    // in the middle of one.
    if (gtk_widget_get_width(GTK_WIDGET(self)) > 0) {
      int link_height = 0, lane_height = 0;
      find_heights(self, &link_height, &lane_height);
      allocate_brackets(self, TOP + link_height, lane_height);
    }
    gtk_widget_queue_draw(GTK_WIDGET(self));
  }
}

static void
qf_chain_view_size_allocate(GtkWidget* const widget,
                            const int        width,
                            const int        height,
                            const int        baseline)
{
  QfChainView* const self        = QF_CHAIN_VIEW(widget);
  int                link_height = 0;
  int                lane_height = 0;

  (void)width;
  (void)height;
  (void)baseline;
  find_heights(self, &link_height, &lane_height);
  for (guint i = 0; i < self->links->len; ++i) {
    GtkWidget* const button     = GTK_WIDGET(link_at(self, i));
    int              link_width = 0;
    gtk_widget_measure(button, GTK_ORIENTATION_HORIZONTAL, -1, &link_width, NULL, NULL, NULL);
    const GtkAllocation area = {(int)start_of(self, i), TOP, link_width, link_height};
    gtk_widget_size_allocate(button, &area, -1);
  }

  allocate_brackets(self, TOP + link_height, lane_height);
}

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
  const double        height = qf_link_button_get_plate_height(link_at(self, index));
  const double        from =
    start_of(self, index) + qf_link_button_get_plate_width(link_at(self, index)) + 2.0;
  const double to = index + 1 < self->links->len ? start_of(self, index + 1) - 2.0 : self->end;

  if (join->kind == QF_JOIN_NONE || to - from < 4.0 || !is_visible_between(self, from, to)) {
    return;
  }

  const double middle    = TOP + height / 2.0;
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
      const double line   = 8.0 * self->rows.scale;
      const double middle = TOP + qf_link_button_get_row_middle(link_at(self, 0), row);
      append_text(GTK_WIDGET(self), snapshot, qf_link_row_name(row), 0.8 * self->rows.scale,
                  start_of(self, 0) - line, 1.0, middle + line, palette->page.faint);
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
  bracket_ends(self, bracket, &left, &right);
  if (!is_visible_between(self, left, right)) {
    return;
  }

  const double y = top + 5.5;
  qf_colour_set_source(bracket->is_key ? palette->page.faint : palette->page.ink, cr);
  cairo_set_line_width(cr, bracket->is_key ? 1.2 : 1.6);
  cairo_move_to(cr, left + 0.5, y - 4.0);
  cairo_line_to(cr, left + 0.5, y);
  cairo_line_to(cr, right - 0.5, y);
  cairo_line_to(cr, right - 0.5, y - 4.0);
  cairo_stroke(cr);
}

static void
qf_chain_view_snapshot(GtkWidget* const widget, GtkSnapshot* const snapshot)
{
  QfChainView* const self    = QF_CHAIN_VIEW(widget);
  const QfPalette    palette = qf_palette_now();
  const double       left    = MAX(0.0, self->window_x);
  const double width = self->window_width > 0.0 ? self->window_width : gtk_widget_get_width(widget);
  int          link_height = 0, lane_height = 0;

  find_heights(self, &link_height, &lane_height);
  const graphene_rect_t area =
    GRAPHENE_RECT_INIT((float)left, 0.0F, (float)width, (float)gtk_widget_get_height(widget));
  cairo_t* const cr = gtk_snapshot_append_cairo(snapshot, &area);

  for (guint i = 0; i < self->links->len; ++i) {
    snapshot_join(self, snapshot, cr, i, &palette);
  }
  for (guint i = 0; self->brackets && i < self->brackets->len; ++i) {
    const QfBracket* const bracket = &g_array_index(self->brackets, QfBracket, i);
    paint_bracket(self, cr, bracket, TOP + link_height + bracket->lane * lane_height, &palette);
    gtk_widget_snapshot_child(widget, bracket->label, snapshot);
  }
  cairo_destroy(cr);
  snapshot_headings(self, snapshot, &palette);

  for (guint i = 0; i < self->links->len; ++i) {
    GtkWidget* const button = GTK_WIDGET(link_at(self, i));
    const double     x      = start_of(self, i);
    if (is_visible_between(self, x - 4.0, x + gtk_widget_get_width(button) + 4.0)) {
      gtk_widget_snapshot_child(widget, button, snapshot);
    }
  }
}

/// Index of the link that has the focus, or SIZE_MAX
static size_t
focused_link(const QfChainView* const self)
{
  for (guint i = 0; i < self->links->len; ++i) {
    if (gtk_widget_has_focus(GTK_WIDGET(link_at(self, i)))) {
      return i;
    }
  }

  return SIZE_MAX;
}

static gboolean
qf_chain_view_focus(GtkWidget* const widget, const GtkDirectionType direction)
{
  QfChainView* const self    = QF_CHAIN_VIEW(widget);
  const size_t       focused = focused_link(self);
  const size_t       n_links = self->links->len;
  size_t             wanted  = SIZE_MAX;

  if (focused == SIZE_MAX) {
    wanted = self->current < n_links ? self->current : 0;
  } else if (direction == GTK_DIR_LEFT && focused > 0) {
    wanted = focused - 1;
  } else if (direction == GTK_DIR_RIGHT) {
    wanted = focused + 1;
  }

  if (wanted >= n_links) {
    return focused != SIZE_MAX && (direction == GTK_DIR_LEFT || direction == GTK_DIR_RIGHT);
  }

  gtk_widget_grab_focus(GTK_WIDGET(link_at(self, wanted)));
  g_signal_emit(self, signals[CHOSEN], 0, (guint)wanted);
  return TRUE;
}

static gboolean
key_pressed_cb(GtkEventControllerKey* const controller,
               const guint                  key,
               const guint                  code,
               const GdkModifierType        modifiers,
               QfChainView* const           self)
{
  const gunichar character = gdk_keyval_to_unicode(key);

  (void)controller;
  (void)code;
  if ((modifiers & (GDK_CONTROL_MASK | GDK_ALT_MASK)) || !character || character > 127 ||
      !strchr("IiVvNGFCSb#", (int)character)) {
    return FALSE;
  }

  const char text[2] = {(char)character, '\0'};
  g_signal_emit(self, signals[TYPED], 0, text);
  return TRUE;
}

static void
style_changed_cb(QfChainView* const self)
{
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

static void
qf_chain_view_dispose(GObject* const object)
{
  QfChainView* const self = QF_CHAIN_VIEW(object);

  if (self->links) {
    resize_pool(self, 0);
  }
  g_clear_pointer(&self->brackets, qf_brackets_free);
  g_clear_pointer(&self->links, g_ptr_array_unref);
  g_clear_pointer(&self->joins, g_array_unref);
  g_clear_pointer(&self->starts, g_array_unref);
  G_OBJECT_CLASS(qf_chain_view_parent_class)->dispose(object);
}

static void
qf_chain_view_class_init(QfChainViewClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_chain_view_dispose;
  widget_class->measure          = qf_chain_view_measure;
  widget_class->size_allocate    = qf_chain_view_size_allocate;
  widget_class->snapshot         = qf_chain_view_snapshot;
  widget_class->focus            = qf_chain_view_focus;
  gtk_widget_class_set_css_name(widget_class, "qf-chain");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_Delete, 0, "win.delete-chord", NULL);

  signals[CHOSEN] = g_signal_new("chosen", QF_TYPE_CHAIN_VIEW, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 1, G_TYPE_UINT);
  signals[TYPED] = g_signal_new("typed", QF_TYPE_CHAIN_VIEW, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void
qf_chain_view_init(QfChainView* const self)
{
  GtkEventController* const keys = gtk_event_controller_key_new();

  self->links   = g_ptr_array_new();
  self->joins   = g_array_new(FALSE, TRUE, sizeof(QfJoin));
  self->starts  = g_array_new(FALSE, TRUE, sizeof(double));
  self->current = SIZE_MAX;
  self->playing = SIZE_MAX;
  self->rows    = (QfLinkRows){0, 1, 1.0};
  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 "Chain of functions", -1);
  g_signal_connect(keys, "key-pressed", G_CALLBACK(key_pressed_cb), self);
  gtk_widget_add_controller(GTK_WIDGET(self), keys);
  g_signal_connect_object(adw_style_manager_get_default(), "notify", G_CALLBACK(style_changed_cb),
                          self, G_CONNECT_SWAPPED);
}
