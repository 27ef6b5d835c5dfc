// SPDX-License-Identifier: MIT
#include "qf-link-button.h"

#include "common/qf-inks.h"
#include "qf-link-face.h"
#include "qf-plate.h"

#include <adwaita.h>

struct _QfLinkButton {
  GtkWidget  parent_instance;
  QfLinkText text;
  QfLinkRows rows;
  QfLinkFace face; ///< Made when first measured
  gboolean   is_selected;
  gboolean   is_playing;
};

G_DEFINE_FINAL_TYPE(QfLinkButton, qf_link_button, GTK_TYPE_WIDGET)

enum { CHOSEN, N_SIGNALS };
static guint signals[N_SIGNALS];

static void
lay_out(QfLinkButton* const self)
{
  qf_link_face_lay_out(&self->face, GTK_WIDGET(self), &self->text, &self->rows);
}

int
qf_link_button_get_plate_height(const QfLinkButton* const self)
{
  return self->face.plate_height;
}

int
qf_link_button_get_plate_width(const QfLinkButton* const self)
{
  return self->face.plate_width;
}

int
qf_link_button_get_row_middle(const QfLinkButton* const self, const int row)
{
  int y = self->face.plate_height;
  for (int above = 0; above < row; ++above) {
    y += qf_link_rows_has(&self->rows, above)
           ? self->face.row_height * qf_link_rows_lines(&self->rows, above)
           : 0;
  }

  return y + self->face.row_height / 2;
}

static void
qf_link_button_measure(GtkWidget* const     widget,
                       const GtkOrientation orientation,
                       const int            for_size,
                       int* const           minimum,
                       int* const           natural,
                       int* const           minimum_baseline,
                       int* const           natural_baseline)
{
  QfLinkButton* const self = QF_LINK_BUTTON(widget);

  (void)for_size;
  lay_out(self);
  *minimum = *natural =
    orientation == GTK_ORIENTATION_HORIZONTAL ? self->face.width : self->face.height;
  *minimum_baseline = *natural_baseline = -1;
}

static void
qf_link_button_snapshot(GtkWidget* const widget, GtkSnapshot* const snapshot)
{
  QfLinkButton* const self    = QF_LINK_BUTTON(widget);
  const QfPalette     palette = qf_palette_now();

  lay_out(self);
  const graphene_rect_t area = GRAPHENE_RECT_INIT(
    -3.0F, -3.0F, (float)self->face.plate_width + 6.0F, (float)self->face.plate_height + 9.0F);
  cairo_t* const cr = gtk_snapshot_append_cairo(snapshot, &area);
  qf_plate_paint(cr,
                 (QfPlate){
                   .width       = self->face.plate_width,
                   .height      = self->face.plate_height,
                   .pad         = self->face.pad,
                   .function    = self->text.function,
                   .is_known    = self->text.is_known,
                   .is_pinned   = self->text.is_pinned,
                   .is_selected = self->is_selected,
                   .is_playing  = self->is_playing,
                   .is_focused  = gtk_widget_has_focus(widget),
                 },
                 &palette);
  cairo_destroy(cr);

  qf_link_face_append_numeral(&self->face, &self->text, snapshot, palette.page.ink);
  qf_link_face_append_rows(&self->face, &self->rows, snapshot, palette.page.ink);
}

/// The rows in words: what the eye reads under the plate
static void
update_description(QfLinkButton* const self)
{
  g_autoptr(GString) words = g_string_new(self->is_playing ? "Sounding" : NULL);

  for (int row = 0; row < QF_N_SHOWS; ++row) {
    if (qf_link_rows_has(&self->rows, row) && self->text.rows[row][0]) {
      g_autofree char* text = g_strdelimit(g_strdup(self->text.rows[row]), "\n", ' ');
      g_string_append_printf(words, "%s%s %s", words->len ? "; " : "", qf_link_row_name(row), text);
    }
  }

  gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                 words->str, -1);
}

static char*
dup_spoken(const QfLinkButton* const self)
{
  return g_strdup_printf("%s%s", self->text.spoken, self->text.is_pinned ? "; pinned" : "");
}

static gboolean
are_equal(const QfLinkRows a, const QfLinkRows b)
{
  return a.rows == b.rows && a.figure_lines == b.figure_lines && a.scale == b.scale;
}

void
qf_link_button_set_text(QfLinkButton* const     self,
                        const QfLinkText* const text,
                        const QfLinkRows        rows)
{
  const gboolean has_face  = qf_link_text_looks_like(&self->text, text);
  const gboolean has_rows  = are_equal(self->rows, rows);
  const gboolean has_words = has_face && g_str_equal(self->text.spoken, text->spoken);

  self->text = *text;
  self->rows = rows;
  if (!has_words) {
    g_autofree char* spoken = dup_spoken(self);
    gtk_accessible_update_property(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  }
  if (!has_face || !has_rows) {
    qf_link_face_clear(&self->face);
    update_description(self);
    gtk_widget_queue_resize(GTK_WIDGET(self));
  }
}

const QfLinkText*
qf_link_button_get_text(const QfLinkButton* const self)
{
  return &self->text;
}

/// Made when asked for: hundreds of links would keep them for nothing
static gboolean
query_tooltip_cb(QfLinkButton* const self,
                 const int           x,
                 const int           y,
                 const gboolean      is_keyboard,
                 GtkTooltip* const   tooltip)
{
  g_autofree char* spoken = dup_spoken(self);

  (void)x;
  (void)y;
  (void)is_keyboard;
  gtk_tooltip_set_text(tooltip, spoken);
  return TRUE;
}

size_t
qf_link_button_get_index(const QfLinkButton* const self)
{
  return self->text.index;
}

void
qf_link_button_set_state(QfLinkButton* const self,
                         const gboolean      is_selected,
                         const gboolean      is_playing)
{
  if (self->is_selected == is_selected && self->is_playing == is_playing) {
    return;
  }

  const gboolean has_words = self->is_playing == is_playing;
  self->is_selected        = is_selected;
  self->is_playing         = is_playing;
  if (!has_words) {
    update_description(self);
  }
  gtk_accessible_update_state(GTK_ACCESSIBLE(self), GTK_ACCESSIBLE_STATE_SELECTED, is_selected, -1);
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

static void
choose(QfLinkButton* const self)
{
  gtk_widget_grab_focus(GTK_WIDGET(self));
  g_signal_emit(self, signals[CHOSEN], 0);
}

static void
choose_cb(GtkWidget* const widget, const char* const action, GVariant* const parameter)
{
  (void)action;
  (void)parameter;
  choose(QF_LINK_BUTTON(widget));
}

static void
released_cb(QfLinkButton* const self)
{
  choose(self);
}

static void
redraw_cb(QfLinkButton* const self)
{
  gtk_widget_queue_draw(GTK_WIDGET(self));
}

static void
qf_link_button_css_changed(GtkWidget* const widget, GtkCssStyleChange* const change)
{
  GTK_WIDGET_CLASS(qf_link_button_parent_class)->css_changed(widget, change);
  qf_link_face_clear(&QF_LINK_BUTTON(widget)->face);
  gtk_widget_queue_resize(widget);
}

static void
qf_link_button_system_setting_changed(GtkWidget* const widget, const GtkSystemSetting setting)
{
  GTK_WIDGET_CLASS(qf_link_button_parent_class)->system_setting_changed(widget, setting);
  qf_link_face_clear(&QF_LINK_BUTTON(widget)->face);
  gtk_widget_queue_resize(widget);
}

static void
qf_link_button_dispose(GObject* const object)
{
  qf_link_face_clear(&QF_LINK_BUTTON(object)->face);
  G_OBJECT_CLASS(qf_link_button_parent_class)->dispose(object);
}

static void
qf_link_button_class_init(QfLinkButtonClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose       = qf_link_button_dispose;
  widget_class->measure                = qf_link_button_measure;
  widget_class->snapshot               = qf_link_button_snapshot;
  widget_class->css_changed            = qf_link_button_css_changed;
  widget_class->system_setting_changed = qf_link_button_system_setting_changed;
  gtk_widget_class_set_css_name(widget_class, "qf-link");
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_BUTTON);
  gtk_widget_class_install_action(widget_class, "link.choose", NULL, choose_cb);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_Return, 0, "link.choose", NULL);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_KP_Enter, 0, "link.choose", NULL);
  gtk_widget_class_add_binding_action(widget_class, GDK_KEY_space, 0, "link.choose", NULL);

  signals[CHOSEN] = g_signal_new("chosen", QF_TYPE_LINK_BUTTON, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 0);
}

static void
qf_link_button_init(QfLinkButton* const self)
{
  GtkGesture* const click = gtk_gesture_click_new();

  self->rows.scale = 1.0;
  gtk_widget_set_focusable(GTK_WIDGET(self), TRUE);
  gtk_widget_set_has_tooltip(GTK_WIDGET(self), TRUE);
  g_signal_connect(self, "query-tooltip", G_CALLBACK(query_tooltip_cb), NULL);
  g_signal_connect_swapped(click, "released", G_CALLBACK(released_cb), self);
  gtk_widget_add_controller(GTK_WIDGET(self), GTK_EVENT_CONTROLLER(click));
  g_signal_connect(self, "notify::has-focus", G_CALLBACK(redraw_cb), NULL);
  g_signal_connect_object(adw_style_manager_get_default(), "notify", G_CALLBACK(redraw_cb), self,
                          G_CONNECT_SWAPPED);
}

GtkWidget*
qf_link_button_new(void)
{
  return g_object_new(QF_TYPE_LINK_BUTTON, NULL);
}
