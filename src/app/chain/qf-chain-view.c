// SPDX-License-Identifier: MIT
#include "qf-chain-private.h"

#include <adwaita.h>
#include <string.h>

enum {
  JOIN_ROOM = 34, ///< Least distance of two plates, pixels
};

G_DEFINE_FINAL_TYPE(QfChainView, qf_chain_view, GTK_TYPE_WIDGET)

enum { CHOSEN, TYPED, N_SIGNALS };
static guint signals[N_SIGNALS];

QfLinkButton*
qf_chain_link_at(const QfChainView* const self, const size_t index)
{
  return QF_LINK_BUTTON(g_ptr_array_index(self->links, index));
}

double
qf_chain_start_of(const QfChainView* const self, const size_t index)
{
  return index < self->starts->len ? g_array_index(self->starts, double, index) : 0.0;
}

static void
chosen_cb(QfLinkButton* const button, QfChainView* const self)
{
  g_signal_emit(self, signals[CHOSEN], 0, (guint)qf_link_button_get_index(button));
}

static void
remove_links(QfChainView* const self, const guint first, const guint n)
{
  for (guint i = 0; i < n; ++i) {
    gtk_widget_unparent(g_ptr_array_index(self->links, first + i));
  }
  if (n) {
    g_ptr_array_remove_range(self->links, first, n);
  }
}

static void
insert_links(QfChainView* const self, const guint first, const guint n)
{
  for (guint i = first; i < first + n; ++i) {
    GtkWidget* const button = qf_link_button_new();
    GtkWidget* const before = i ? GTK_WIDGET(qf_chain_link_at(self, i - 1)) : NULL;

    g_signal_connect(button, "chosen", G_CALLBACK(chosen_cb), self);
    gtk_widget_insert_after(button, GTK_WIDGET(self), before);
    g_ptr_array_insert(self->links, (int)i, button);
  }
}

static gboolean
is_kept(const QfChainView* const self, const guint button, const QfLinkText* const text)
{
  return qf_link_text_looks_like(qf_link_button_get_text(qf_chain_link_at(self, button)), text);
}

/**
   Have as many buttons as texts.

   An edit changes few links but may shift all that follow: buttons are taken
   out or put in where the texts begin to differ, so that the rest keep theirs.
*/
static void
resize_pool(QfChainView* const self, const GArray* const texts)
{
  const guint n_old = self->links->len;
  const guint n_new = texts->len;
  const guint least = MIN(n_old, n_new);
  guint       first = 0;

  while (first < least && is_kept(self, first, &g_array_index(texts, QfLinkText, first))) {
    ++first;
  }
  if (n_old != n_new) {
    // What was selected or sounding is marked anew by whoever asked for this.
    qf_chain_view_set_marks(self, SIZE_MAX, SIZE_MAX);
    qf_chain_view_set_range(self, SIZE_MAX, SIZE_MAX);
  }

  remove_links(self, first, n_old - least);
  insert_links(self, first, n_new - least);
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

  g_array_set_size(self->joins, (guint)n_links);
  g_array_set_size(texts, (guint)n_links);
  self->rows = (QfLinkRows){view->rows, 1, scale};

  for (size_t i = 0; i < n_links; ++i) {
    const QfLabel* const label   = qf_labels_get_link(labels, i);
    QfLinkText* const    text    = &g_array_index(texts, QfLinkText, i);
    QfNoteName           top     = {0, 0};
    const bool           has_top = top_note(score, label->start, &top);

    const QfLinkText* const before =
      i < self->links->len ? qf_link_button_get_text(qf_chain_link_at(self, i)) : NULL;

    qf_link_text_fill(text, before, label, i, has_top ? &top : NULL, view);
    // Row 2 is the figured bass, the only one that may need more lines.
    self->rows.figure_lines = MAX(self->rows.figure_lines, count_lines(text->rows[2]));
    g_array_index(self->joins, QfJoin, i) = qf_join_of(label);
  }

  resize_pool(self, texts);
  for (size_t i = 0; i < n_links; ++i) {
    qf_link_button_set_text(qf_chain_link_at(self, i), &g_array_index(texts, QfLinkText, i),
                            self->rows);
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
    gtk_widget_measure(GTK_WIDGET(qf_chain_link_at(self, i)), GTK_ORIENTATION_HORIZONTAL, -1,
                       &width, NULL, NULL, NULL);
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

static void
mark_link(QfChainView* const self, const size_t link)
{
  if (link < self->links->len) {
    const gboolean is_in_range = link >= self->first && link <= self->last;
    qf_link_button_set_state(qf_chain_link_at(self, (guint)link),
                             link == self->current || is_in_range, link == self->playing);
  }
}

void
qf_chain_view_set_marks(QfChainView* const self, const size_t current, const size_t playing)
{
  const size_t touched[] = {self->current, self->playing, current, playing};

  self->current = current;
  self->playing = playing;
  for (gsize i = 0; i < G_N_ELEMENTS(touched); ++i) {
    mark_link(self, touched[i]);
  }
}

void
qf_chain_view_set_range(QfChainView* const self, const size_t first, const size_t last)
{
  const size_t from = MIN(self->first, first);
  const size_t to   = MAX(self->last == SIZE_MAX ? 0 : self->last, last == SIZE_MAX ? 0 : last);

  self->first = first;
  self->last  = last;
  for (size_t i = from; i <= to && i < self->links->len; ++i) {
    mark_link(self, i);
  }
}

void
qf_chain_view_focus_current(QfChainView* const self)
{
  if (self->current < self->links->len) {
    gtk_widget_grab_focus(GTK_WIDGET(qf_chain_link_at(self, self->current)));
  }
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
    remove_links(self, 0, self->links->len);
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
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_Left, GDK_SHIFT_MASK, "win.select-left",
                                      NULL);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_Right, GDK_SHIFT_MASK,
                                      "win.select-right", NULL);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_a, GDK_CONTROL_MASK, "win.select-all",
                                      NULL);

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
  self->first   = SIZE_MAX;
  self->last    = SIZE_MAX;
  self->playing = SIZE_MAX;
  self->rows    = (QfLinkRows){0, 1, 1.0};
  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 "Chain of functions", -1);
  g_signal_connect(keys, "key-pressed", G_CALLBACK(key_pressed_cb), self);
  gtk_widget_add_controller(GTK_WIDGET(self), keys);
  g_signal_connect_object(adw_style_manager_get_default(), "notify", G_CALLBACK(style_changed_cb),
                          self, G_CONNECT_SWAPPED);
}
