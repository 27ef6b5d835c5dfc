// SPDX-License-Identifier: MIT
#include "qf-score-view.h"

#include "common/qf-inks.h"
#include "qf-note-mark.h"

#include <adwaita.h>
#include <limits.h>
#include <math.h>

struct _QfScoreView {
  GtkWidget          parent_instance;
  const QfEngraving* engraving; ///< Lent by the passage view
  GArray*            signs;     ///< Of #QfNoteSign
  GArray*            rings;     ///< Of #QfNoteRing
  GArray*            givens;    ///< Identities of notes
  QfMarks            marks;
  double             window_x;
  double             window_width; ///< 0 before the first allocation: paint all
  uint32_t           dragged;      ///< Note under the pointer when a drag began
  double             drag_x;
  double             drag_y;
};

G_DEFINE_FINAL_TYPE(QfScoreView, qf_score_view, GTK_TYPE_WIDGET)

enum { PICKED, DRAGGED, N_SIGNALS };
static guint signals[N_SIGNALS];

enum {
  DRAG_THRESHOLD = 4, ///< Pixels before a click becomes a drag
};

void
qf_score_view_set_engraving(QfScoreView* const self, const QfEngraving* const engraving)
{
  self->engraving = engraving;
  gtk_widget_queue_resize(GTK_WIDGET(self));
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

void
qf_score_view_set_marks(QfScoreView* const self, const QfMarks* const marks)
{
  self->marks = *marks;
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

static void
take_array(QfScoreView* const self, GArray** const place, GArray* const array)
{
  g_clear_pointer(place, g_array_unref);
  *place = array;
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

void
qf_score_view_take_signs(QfScoreView* const self, GArray* const signs)
{
  take_array(self, &self->signs, signs);
}

void
qf_score_view_take_rings(QfScoreView* const self, GArray* const rings)
{
  take_array(self, &self->rings, rings);
}

void
qf_score_view_take_givens(QfScoreView* const self, GArray* const notes)
{
  take_array(self, &self->givens, notes);
}

void
qf_score_view_set_window(QfScoreView* const self, const double x, const double width)
{
  if (x != self->window_x || width != self->window_width) {
    self->window_x     = x;
    self->window_width = width;
    gtk_widget_queue_draw(GTK_WIDGET(self));
  }
}

static void
qf_score_view_measure(GtkWidget* const     widget,
                      const GtkOrientation orientation,
                      const int            for_size,
                      int* const           minimum,
                      int* const           natural,
                      int* const           minimum_baseline,
                      int* const           natural_baseline)
{
  const QfScoreView* const self   = QF_SCORE_VIEW(widget);
  double                   width  = 0.0;
  double                   height = 0.0;

  (void)for_size;
  if (self->engraving) {
    qf_engraving_get_size(self->engraving, &width, &height);
  }

  *minimum = *natural = (int)ceil(orientation == GTK_ORIENTATION_HORIZONTAL ? width : height);
  *minimum_baseline = *natural_baseline = -1;
}

static void
qf_score_view_snapshot(GtkWidget* const widget, GtkSnapshot* const snapshot)
{
  QfScoreView* const self   = QF_SCORE_VIEW(widget);
  const double       width  = gtk_widget_get_width(widget);
  const double       height = gtk_widget_get_height(widget);
  const double       left   = self->window_width > 0.0 ? MAX(0.0, self->window_x) : 0.0;
  const double       right =
    self->window_width > 0.0 ? MIN(width, self->window_x + self->window_width) : width;

  if (!self->engraving || right <= left) {
    return;
  }

  const graphene_rect_t area =
    GRAPHENE_RECT_INIT((float)left, 0.0F, (float)(right - left), (float)height);
  cairo_t* const      cr      = gtk_snapshot_append_cairo(snapshot, &area);
  QfMarks             marks   = self->marks;
  const QfPalette     palette = qf_palette_now();
  const QfPaintedPart part    = {left, right};

  marks.inks = palette.page;
  if (!gtk_widget_has_focus(widget)) {
    marks.inks.accent = qf_colour_fade(marks.inks.accent, 0.6);
  }

  cairo_rectangle(cr, left, 0.0, right - left, height);
  cairo_clip(cr);
  if (self->givens) {
    qf_given_notes_paint(self->givens, self->engraving, part, cr, &palette);
  }
  qf_engraving_paint(self->engraving, 0, cr, &marks);
  if (self->signs) {
    qf_note_signs_paint(self->signs, self->engraving, part, widget, cr, &palette);
  }
  if (self->rings) {
    qf_note_rings_paint(self->rings, self->engraving, part, cr, &palette);
  }
  cairo_destroy(cr);
}

static void
pressed_cb(GtkGestureClick* const gesture,
           const int              n_press,
           const double           x,
           const double           y,
           QfScoreView* const     self)
{
  (void)gesture;
  gtk_widget_grab_focus(GTK_WIDGET(self));
  g_signal_emit(self, signals[PICKED], 0, x, y, n_press);
}

static void
drag_begin_cb(GtkGestureDrag* const gesture,
              const double          x,
              const double          y,
              QfScoreView* const    self)
{
  QfHit hit = {0};

  (void)gesture;
  self->dragged =
    self->engraving && qf_engraving_hit(self->engraving, x, y, &hit) ? hit.note : QF_NO_NOTE;
  self->drag_x = x;
  self->drag_y = y;
}

/// Show at the caret where the dragged note would be dropped
static void
drag_update_cb(GtkGestureDrag* const gesture,
               const double          dx,
               const double          dy,
               QfScoreView* const    self)
{
  QfHit hit = {0};

  (void)gesture;
  if (self->dragged != QF_NO_NOTE && fabs(dx) + fabs(dy) >= DRAG_THRESHOLD &&
      qf_engraving_hit(self->engraving, self->drag_x + dx, self->drag_y + dy, &hit)) {
    self->marks.caret_step = hit.step;
    gtk_widget_queue_draw(GTK_WIDGET(self));
  }
}

static void
drag_end_cb(GtkGestureDrag* const gesture,
            const double          dx,
            const double          dy,
            QfScoreView* const    self)
{
  (void)gesture;
  const uint32_t note    = self->dragged;
  self->dragged          = QF_NO_NOTE;
  self->marks.caret_step = INT_MIN;
  gtk_widget_queue_draw(GTK_WIDGET(self));

  if (note != QF_NO_NOTE && fabs(dx) + fabs(dy) >= DRAG_THRESHOLD) {
    g_signal_emit(self, signals[DRAGGED], 0, note, self->drag_x + dx, self->drag_y + dy);
  }
}

/// What the sign at the note under the pointer means
static gboolean
query_tooltip_cb(QfScoreView* const self,
                 const int          x,
                 const int          y,
                 const gboolean     is_keyboard,
                 GtkTooltip* const  tooltip)
{
  QfHit hit = {0};

  if (is_keyboard || !self->signs || !self->engraving ||
      !qf_engraving_hit(self->engraving, x, y, &hit) || hit.note == QF_NO_NOTE) {
    return FALSE;
  }

  for (guint i = 0; i < self->signs->len; ++i) {
    const QfNoteSign* const sign = &g_array_index(self->signs, QfNoteSign, i);
    if (sign->note == hit.note) {
      gtk_tooltip_set_text(tooltip, qf_foreign_kind_name(sign->kind));
      return TRUE;
    }
  }

  return FALSE;
}

static void
style_changed_cb(QfScoreView* const self)
{
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

/// A key that is a command while the staves have the focus
static void
bind(GtkWidgetClass* const klass,
     const guint           key,
     const GdkModifierType modifiers,
     const char* const     action)
{
  gtk_widget_class_add_binding_action(klass, key, modifiers, action, NULL);
}

static void
bind_notes_and_values(GtkWidgetClass* const klass)
{
  static const struct {
    guint key;
    guint keypad;
    int   value;
  } values[] = {
    {GDK_KEY_1, GDK_KEY_KP_1, 0}, {GDK_KEY_2, GDK_KEY_KP_2, 1}, {GDK_KEY_4, GDK_KEY_KP_4, 2},
    {GDK_KEY_8, GDK_KEY_KP_8, 3}, {GDK_KEY_9, GDK_KEY_KP_9, 4},
  };

  for (guint letter = 0; letter < 7; ++letter) {
    const char name[2] = {(char)('A' + letter), '\0'};
    gtk_widget_class_add_binding_action(klass, GDK_KEY_a + letter, 0, "win.write-note", "s", name);
    gtk_widget_class_add_binding_action(klass, GDK_KEY_a + letter, GDK_LOCK_MASK, "win.write-note",
                                        "s", name);
  }

  for (gsize i = 0; i < G_N_ELEMENTS(values); ++i) {
    const int value = values[i].value;
    gtk_widget_class_add_binding_action(klass, values[i].key, 0, "win.value", "i", value);
    gtk_widget_class_add_binding_action(klass, values[i].keypad, 0, "win.value", "i", value);
    gtk_widget_class_add_binding_action(klass, values[i].key, GDK_CONTROL_MASK, "win.set-value",
                                        "i", value);
  }
}

static void
bind_keys(GtkWidgetClass* const klass)
{
  static const struct {
    guint           key;
    GdkModifierType modifiers;
    const char*     action;
  } keys[] = {
    {GDK_KEY_Left, 0, "win.caret-left"},
    {GDK_KEY_Right, 0, "win.caret-right"},
    {GDK_KEY_Left, GDK_CONTROL_MASK, "win.caret-bar-left"},
    {GDK_KEY_Right, GDK_CONTROL_MASK, "win.caret-bar-right"},
    {GDK_KEY_Home, 0, "win.caret-start"},
    {GDK_KEY_End, 0, "win.caret-end"},
    {GDK_KEY_Up, GDK_ALT_MASK, "win.voice-up"},
    {GDK_KEY_Down, GDK_ALT_MASK, "win.voice-down"},
    {GDK_KEY_Page_Up, 0, "win.voice-up"},
    {GDK_KEY_Page_Down, 0, "win.voice-down"},
    {GDK_KEY_Up, 0, "win.step-up"},
    {GDK_KEY_Down, 0, "win.step-down"},
    {GDK_KEY_Up, GDK_SHIFT_MASK, "win.sharpen"},
    {GDK_KEY_Down, GDK_SHIFT_MASK, "win.flatten"},
    {GDK_KEY_Up, GDK_CONTROL_MASK, "win.octave-up"},
    {GDK_KEY_Down, GDK_CONTROL_MASK, "win.octave-down"},
    {GDK_KEY_Left, GDK_ALT_MASK, "win.move-note-left"},
    {GDK_KEY_Right, GDK_ALT_MASK, "win.move-note-right"},
    {GDK_KEY_Left, GDK_ALT_MASK | GDK_SHIFT_MASK, "win.move-chord-left"},
    {GDK_KEY_Right, GDK_ALT_MASK | GDK_SHIFT_MASK, "win.move-chord-right"},
    {GDK_KEY_Left, GDK_SHIFT_MASK, "win.select-left"},
    {GDK_KEY_Right, GDK_SHIFT_MASK, "win.select-right"},
    {GDK_KEY_a, GDK_CONTROL_MASK, "win.select-all"},
    {GDK_KEY_k, 0, "win.keep-voice"},
    {GDK_KEY_period, 0, "win.dotted"},
    {GDK_KEY_KP_Decimal, 0, "win.dotted"},
    {GDK_KEY_r, 0, "win.write-rest"},
    {GDK_KEY_o, 0, "win.fermata"},
    {GDK_KEY_Delete, 0, "win.delete-note"},
    {GDK_KEY_BackSpace, 0, "win.delete-before"},
    {GDK_KEY_Delete, GDK_CONTROL_MASK, "win.delete-chord"},
    {GDK_KEY_Return, 0, "win.write-numeral"},
    {GDK_KEY_KP_Enter, 0, "win.write-numeral"},
    {GDK_KEY_space, 0, "win.play"},
    {GDK_KEY_h, 0, "win.hear-chord"},
    {GDK_KEY_n, 0, "win.next-chord"},
    {GDK_KEY_p, 0, "win.previous-chord"},
  };

  for (gsize i = 0; i < G_N_ELEMENTS(keys); ++i) {
    bind(klass, keys[i].key, keys[i].modifiers, keys[i].action);
  }
}

static void
qf_score_view_dispose(GObject* const object)
{
  QfScoreView* const self = QF_SCORE_VIEW(object);

  g_clear_pointer(&self->signs, g_array_unref);
  g_clear_pointer(&self->rings, g_array_unref);
  g_clear_pointer(&self->givens, g_array_unref);
  G_OBJECT_CLASS(qf_score_view_parent_class)->dispose(object);
}

static void
qf_score_view_class_init(QfScoreViewClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_score_view_dispose;
  widget_class->measure          = qf_score_view_measure;
  widget_class->snapshot         = qf_score_view_snapshot;
  gtk_widget_class_set_css_name(widget_class, "qf-score");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  bind_notes_and_values(widget_class);
  bind_keys(widget_class);

  signals[PICKED]  = g_signal_new("picked", QF_TYPE_SCORE_VIEW, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                  NULL, G_TYPE_NONE, 3, G_TYPE_DOUBLE, G_TYPE_DOUBLE, G_TYPE_INT);
  signals[DRAGGED] = g_signal_new("dragged", QF_TYPE_SCORE_VIEW, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                  NULL, G_TYPE_NONE, 3, G_TYPE_UINT, G_TYPE_DOUBLE, G_TYPE_DOUBLE);
}

static void
qf_score_view_init(QfScoreView* const self)
{
  GtkGesture* const click = gtk_gesture_click_new();
  GtkGesture* const drag  = gtk_gesture_drag_new();

  self->marks.caret_step = INT_MIN;
  gtk_widget_set_focusable(GTK_WIDGET(self), TRUE);
  gtk_widget_set_has_tooltip(GTK_WIDGET(self), TRUE);
  g_signal_connect(self, "query-tooltip", G_CALLBACK(query_tooltip_cb), NULL);
  g_signal_connect(click, "pressed", G_CALLBACK(pressed_cb), self);
  g_signal_connect(drag, "drag-begin", G_CALLBACK(drag_begin_cb), self);
  g_signal_connect(drag, "drag-update", G_CALLBACK(drag_update_cb), self);
  g_signal_connect(drag, "drag-end", G_CALLBACK(drag_end_cb), self);
  gtk_widget_add_controller(GTK_WIDGET(self), GTK_EVENT_CONTROLLER(click));
  gtk_widget_add_controller(GTK_WIDGET(self), GTK_EVENT_CONTROLLER(drag));
  g_signal_connect(self, "notify::has-focus", G_CALLBACK(style_changed_cb), NULL);
  g_signal_connect_object(adw_style_manager_get_default(), "notify", G_CALLBACK(style_changed_cb),
                          self, G_CONNECT_SWAPPED);
}
