// SPDX-License-Identifier: MIT
#include "qf-keys.h"

void
qf_keys_add(GtkWidget* const      window,
            const guint           key,
            const GdkModifierType modifiers,
            const GtkShortcutFunc function,
            gpointer              data)
{
  GtkEventController* const controller = gtk_shortcut_controller_new();

  gtk_shortcut_controller_add_shortcut(
    GTK_SHORTCUT_CONTROLLER(controller),
    gtk_shortcut_new(gtk_keyval_trigger_new(key, modifiers),
                     gtk_callback_action_new(function, data, NULL)));
  gtk_widget_add_controller(window, controller);
}

static gboolean
escape_cb(GtkWidget* const widget, GVariant* const arguments, gpointer data)
{
  (void)arguments;
  (void)data;
  gtk_window_close(GTK_WINDOW(widget));
  return TRUE;
}

void
qf_keys_close_by_escape(GtkWidget* const window)
{
  qf_keys_add(window, GDK_KEY_Escape, 0, escape_cb, NULL);
}
