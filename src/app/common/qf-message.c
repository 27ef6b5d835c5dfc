// SPDX-License-Identifier: MIT
#include "qf-message.h"

#include <string.h>

static void
name_button(GtkButton* const button)
{
  const char* const label = gtk_button_get_label(button);

  // A label without a mnemonic is said as it stands, or the button was given a better name.
  if (label && strchr(label, '_')) {
    g_auto(GStrv) parts   = g_strsplit(label, "_", -1);
    g_autofree char* name = g_strjoinv("", parts);
    gtk_accessible_reset_relation(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_RELATION_LABELLED_BY);
    gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  }
}

void
qf_name_buttons(GtkWidget* const widget)
{
  if (GTK_IS_BUTTON(widget)) {
    name_button(GTK_BUTTON(widget));
    return;
  }

  for (GtkWidget* child = gtk_widget_get_first_child(widget); child;
       child            = gtk_widget_get_next_sibling(child)) {
    qf_name_buttons(child);
  }
}

void
qf_message_present(AdwMessageDialog* const dialog)
{
  qf_name_buttons(GTK_WIDGET(dialog));
  gtk_window_present(GTK_WINDOW(dialog));
}

char*
qf_sentence_dup(const char* const text)
{
  char* const sentence =
    g_strconcat(text, g_str_has_suffix(text, ".") || !text[0] ? NULL : ".", NULL);

  sentence[0] = g_ascii_toupper(sentence[0]);
  return sentence;
}

void
qf_message_toast(AdwToastOverlay* const overlay, const char* const text)
{
  g_autofree char* plain  = qf_sentence_dup(text);
  g_autofree char* markup = g_markup_escape_text(plain, -1);
  adw_toast_overlay_add_toast(overlay, adw_toast_new(markup));
}
