// SPDX-License-Identifier: MIT
#include "qf-realise-bar.h"

#include "qf-app.h"

struct _QfRealiseBar {
  GtkWidget  parent_instance;
  GtkWidget* box; ///< Template child, as all widgets below
  GtkLabel*  span;
  GtkBox*    keeps;
  GtkLabel*  way;
  GtkWidget* buttons[QF_MAX_KEEPS]; ///< Toggles of the voices, inside `keeps`
};

G_DEFINE_FINAL_TYPE(QfRealiseBar, qf_realise_bar, GTK_TYPE_WIDGET)

/// What a voice is called, whole and by its first letter
static void
name_button(GtkWidget* const button, const char* const name, const int voice)
{
  g_autofree char* number = g_strdup_printf("%d", voice + 1);
  g_autofree char* whole  = name[0] ? g_strdup(name) : g_strdup_printf("voice %s", number);
  g_autofree char* letter = name[0] ? g_utf8_substring(name, 0, 1) : g_strdup(number);
  g_autofree char* tip    = g_strdup_printf("Keep the %s as it is", whole);

  gtk_button_set_label(GTK_BUTTON(button), letter);
  gtk_widget_set_tooltip_text(button, tip);
  gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, tip, -1);
}

void
qf_realise_bar_set_voices(QfRealiseBar* const self, const QfScore* const score)
{
  const int n_voices = (int)qf_score_n_voices(score);

  for (int v = 0; v < QF_MAX_KEEPS; ++v) {
    const gboolean is_there = v < n_voices && n_voices <= QF_MAX_KEEPS;
    gtk_widget_set_visible(self->buttons[v], is_there);
    if (is_there) {
      name_button(self->buttons[v], qf_score_get_voice(score, (size_t)v)->name, v);
    }
  }
}

void
qf_realise_bar_set_span(QfRealiseBar* const self, const char* const text)
{
  gtk_label_set_text(self->span, text);
}

void
qf_realise_bar_set_way(QfRealiseBar* const self, const char* const text)
{
  gtk_label_set_text(self->way, text);
  gtk_widget_set_visible(GTK_WIDGET(self->way), text[0] != '\0');
}

static void
qf_realise_bar_dispose(GObject* const object)
{
  g_clear_pointer(&QF_REALISE_BAR(object)->box, gtk_widget_unparent);
  G_OBJECT_CLASS(qf_realise_bar_parent_class)->dispose(object);
}

static void
qf_realise_bar_class_init(QfRealiseBarClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_realise_bar_dispose;
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-realise-bar.ui");
  gtk_widget_class_bind_template_child(widget_class, QfRealiseBar, box);
  gtk_widget_class_bind_template_child(widget_class, QfRealiseBar, span);
  gtk_widget_class_bind_template_child(widget_class, QfRealiseBar, keeps);
  gtk_widget_class_bind_template_child(widget_class, QfRealiseBar, way);
}

static void
qf_realise_bar_init(QfRealiseBar* const self)
{
  gtk_widget_init_template(GTK_WIDGET(self));
  for (int v = 0; v < QF_MAX_KEEPS; ++v) {
    g_autofree char* action = g_strdup_printf("win.keep-voice-%d", v);
    self->buttons[v]        = gtk_toggle_button_new();
    gtk_actionable_set_action_name(GTK_ACTIONABLE(self->buttons[v]), action);
    gtk_box_append(self->keeps, self->buttons[v]);
  }
}
