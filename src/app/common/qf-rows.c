// SPDX-License-Identifier: MIT
#include "qf-rows.h"

#include "qf-keys.h"
#include "qf-message.h"

AdwPreferencesGroup*
qf_rows_add_group(AdwPreferencesPage* const page,
                  const char* const         title,
                  const char* const         description)
{
  AdwPreferencesGroup* const group = ADW_PREFERENCES_GROUP(adw_preferences_group_new());

  adw_preferences_group_set_title(group, title);
  adw_preferences_group_set_description(group, description);
  adw_preferences_page_add(page, group);
  return group;
}

/// A row whose widget on the right is what it is about
static void
add_row(AdwPreferencesGroup* const group,
        const char* const          title,
        const char* const          subtitle,
        GtkWidget* const           widget)
{
  GtkWidget* const row = adw_action_row_new();

  adw_preferences_row_set_title(ADW_PREFERENCES_ROW(row), title);
  if (subtitle) {
    adw_action_row_set_subtitle(ADW_ACTION_ROW(row), subtitle);
  }
  gtk_widget_set_valign(widget, GTK_ALIGN_CENTER);
  adw_action_row_add_suffix(ADW_ACTION_ROW(row), widget);
  // The row names it by its own title as well.
  adw_action_row_set_activatable_widget(ADW_ACTION_ROW(row), widget);
  adw_preferences_group_add(group, row);
}

GtkSwitch*
qf_rows_add_switch(AdwPreferencesGroup* const group,
                   const char* const          title,
                   const char* const          subtitle,
                   const gboolean             is_on)
{
  GtkWidget* const widget = gtk_switch_new();

  gtk_switch_set_active(GTK_SWITCH(widget), is_on);
  add_row(group, title, subtitle, widget);
  return GTK_SWITCH(widget);
}

GtkSpinButton*
qf_rows_add_spin(AdwPreferencesGroup* const group,
                 const char* const          title,
                 const char* const          subtitle,
                 const double               least,
                 const double               most,
                 const double               step,
                 const double               value)
{
  GtkWidget* const widget = gtk_spin_button_new_with_range(least, most, step);

  gtk_spin_button_set_value(GTK_SPIN_BUTTON(widget), value);
  add_row(group, title, subtitle, widget);
  return GTK_SPIN_BUTTON(widget);
}

AdwComboRow*
qf_rows_add_choice(AdwPreferencesGroup* const group,
                   const char* const          title,
                   const char* const* const   choices,
                   const guint                chosen)
{
  GtkWidget* const row            = adw_combo_row_new();
  g_autoptr(GtkStringList) models = gtk_string_list_new(choices);

  adw_preferences_row_set_title(ADW_PREFERENCES_ROW(row), title);
  adw_combo_row_set_model(ADW_COMBO_ROW(row), G_LIST_MODEL(models));
  adw_combo_row_set_selected(ADW_COMBO_ROW(row), chosen);
  adw_preferences_group_add(group, row);
  return ADW_COMBO_ROW(row);
}

GtkEditable*
qf_rows_add_text(AdwPreferencesGroup* const group, const char* const title, const char* const text)
{
  GtkWidget* const row = adw_entry_row_new();

  adw_preferences_row_set_title(ADW_PREFERENCES_ROW(row), title);
  gtk_editable_set_text(GTK_EDITABLE(row), text);
  adw_preferences_group_add(group, row);
  return GTK_EDITABLE(row);
}

static void
close_cb(GtkButton* const button, GtkWindow* const window)
{
  (void)button;
  gtk_window_close(window);
}

AdwWindow*
qf_rows_window_new(GtkWindow* const          parent,
                   const char* const         title,
                   const char* const         apply,
                   AdwPreferencesPage* const page,
                   const GCallback           apply_cb,
                   const gpointer            data)
{
  GtkWidget* const window = adw_window_new();
  GtkWidget* const box    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget* const header = adw_header_bar_new();
  GtkWidget* const cancel = gtk_button_new_with_mnemonic("_Cancel");
  GtkWidget* const button = gtk_button_new_with_mnemonic(apply);

  adw_header_bar_set_show_end_title_buttons(ADW_HEADER_BAR(header), FALSE);
  adw_header_bar_pack_start(ADW_HEADER_BAR(header), cancel);
  adw_header_bar_pack_end(ADW_HEADER_BAR(header), button);
  gtk_widget_add_css_class(button, "suggested-action");
  gtk_widget_set_vexpand(GTK_WIDGET(page), TRUE);
  gtk_box_append(GTK_BOX(box), header);
  gtk_box_append(GTK_BOX(box), GTK_WIDGET(page));
  adw_window_set_content(ADW_WINDOW(window), box);
  gtk_window_set_title(GTK_WINDOW(window), title);
  gtk_window_set_transient_for(GTK_WINDOW(window), parent);
  gtk_window_set_modal(GTK_WINDOW(window), TRUE);
  gtk_window_set_default_size(GTK_WINDOW(window), 560, 680);
  gtk_window_set_default_widget(GTK_WINDOW(window), button);
  g_signal_connect(cancel, "clicked", G_CALLBACK(close_cb), window);
  g_signal_connect_swapped(button, "clicked", apply_cb, data);
  qf_keys_close_by_escape(window);
  qf_name_buttons(window);
  return ADW_WINDOW(window);
}
