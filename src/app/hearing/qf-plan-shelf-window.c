// SPDX-License-Identifier: MIT
#include "qf-plan-shelf-window.h"

#include "common/qf-message.h"
#include "common/qf-rows.h"

#include "quintfall/plan_shelf.h"

typedef struct {
  char*                folder;
  AdwToastOverlay*     toasts;
  AdwPreferencesPage*  page;
  AdwPreferencesGroup* group; ///< Of the rows as they are shown now
} Shelf;

static void
fill(Shelf* self);

static void
free_shelf(Shelf* const self)
{
  g_free(self->folder);
  g_free(self);
}

static const char*
name_of(GtkWidget* const row)
{
  return g_object_get_data(G_OBJECT(row), "name");
}

static void
rename_cb(GtkWidget* const row, Shelf* const self)
{
  const char* const wanted = gtk_editable_get_text(GTK_EDITABLE(row));
  QfError           error  = {0};

  if (qf_plan_shelf_rename(self->folder, name_of(row), wanted, &error)) {
    qf_message_toast(self->toasts, error.text);
    gtk_editable_set_text(GTK_EDITABLE(row), name_of(row));
    return;
  }
  g_object_set_data_full(G_OBJECT(row), "name", g_strdup(wanted), g_free);
  qf_message_toast(self->toasts, "The plan has its new name");
}

static void
put_back_cb(AdwToast* const toast, Shelf* const self)
{
  QfError error = {0};
  if (qf_plan_shelf_keep(self->folder, g_object_get_data(G_OBJECT(toast), "plan"), &error)) {
    qf_message_toast(self->toasts, error.text);
  }
  fill(self);
}

static void
remove_cb(GtkWidget* const button, Shelf* const self)
{
  GtkWidget* const row   = gtk_widget_get_ancestor(button, ADW_TYPE_ENTRY_ROW);
  QfPlan*          plan  = NULL;
  QfError          error = {0};

  if (qf_plan_load(g_object_get_data(G_OBJECT(row), "path"), &plan, &error) ||
      qf_plan_shelf_remove(self->folder, name_of(row), &error)) {
    qf_message_toast(self->toasts, error.text);
    qf_plan_free(plan);
    return;
  }

  AdwToast* const toast = adw_toast_new("The plan is removed.");
  adw_toast_set_button_label(toast, "Put Back");
  adw_toast_set_priority(toast, ADW_TOAST_PRIORITY_HIGH);
  adw_toast_set_timeout(toast, 10);
  g_object_set_data_full(G_OBJECT(toast), "plan", plan, (GDestroyNotify)qf_plan_free);
  g_signal_connect(toast, "button-clicked", G_CALLBACK(put_back_cb), self);
  adw_toast_overlay_add_toast(self->toasts, toast);
  fill(self);
}

static GtkEditable*
add_row(Shelf* const self, const char* const name, const char* const path)
{
  GtkEditable* const row    = qf_rows_add_text(self->group, "Name", name);
  GtkWidget* const   button = gtk_button_new_from_icon_name("user-trash-symbolic");
  g_autofree char*   label  = g_strdup_printf("Remove the plan %s", name);

  adw_entry_row_set_show_apply_button(ADW_ENTRY_ROW(row), TRUE);
  g_object_set_data_full(G_OBJECT(row), "name", g_strdup(name), g_free);
  g_object_set_data_full(G_OBJECT(row), "path", g_strdup(path), g_free);
  gtk_widget_set_valign(button, GTK_ALIGN_CENTER);
  gtk_widget_add_css_class(button, "flat");
  gtk_widget_set_tooltip_text(button, label);
  gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
  adw_entry_row_add_suffix(ADW_ENTRY_ROW(row), button);
  g_signal_connect(row, "apply", G_CALLBACK(rename_cb), self);
  g_signal_connect(button, "clicked", G_CALLBACK(remove_cb), self);
  return row;
}

static void
fill(Shelf* const self)
{
  QfPlanShelf shelf = {0};

  if (self->group) {
    adw_preferences_page_remove(self->page, self->group);
  }
  qf_plan_shelf_read(self->folder, &shelf);
  self->group =
    qf_rows_add_group(self->page, "",
                      shelf.n_plans ? "Under Plans in every lesson."
                                    : "No plan is kept yet. Ctrl+S in a hearing plan keeps it.");
  for (size_t i = 0; i < shelf.n_plans; ++i) {
    GtkEditable* const row = add_row(self, shelf.plans[i].name, shelf.plans[i].path);
    if (i == 0) {
      gtk_widget_grab_focus(GTK_WIDGET(row));
    }
  }
  qf_plan_shelf_clear(&shelf);
}

GtkWindow*
qf_plan_shelf_window_new(GtkWindow* const parent, const char* const folder)
{
  GtkWidget* const          window = adw_window_new();
  GtkWidget* const          box    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  GtkEventController* const keys   = gtk_shortcut_controller_new();
  Shelf* const              self   = g_new0(Shelf, 1);

  self->folder = g_strdup(folder);
  self->toasts = ADW_TOAST_OVERLAY(adw_toast_overlay_new());
  self->page   = ADW_PREFERENCES_PAGE(adw_preferences_page_new());
  gtk_widget_set_vexpand(GTK_WIDGET(self->toasts), TRUE);
  adw_toast_overlay_set_child(self->toasts, GTK_WIDGET(self->page));
  gtk_box_append(GTK_BOX(box), adw_header_bar_new());
  gtk_box_append(GTK_BOX(box), GTK_WIDGET(self->toasts));
  adw_window_set_content(ADW_WINDOW(window), box);
  gtk_window_set_title(GTK_WINDOW(window), "Your Plans");
  gtk_window_set_transient_for(GTK_WINDOW(window), parent);
  gtk_window_set_modal(GTK_WINDOW(window), TRUE);
  gtk_window_set_default_size(GTK_WINDOW(window), 480, 420);
  gtk_shortcut_controller_add_shortcut(GTK_SHORTCUT_CONTROLLER(keys),
                                       gtk_shortcut_new(gtk_keyval_trigger_new(GDK_KEY_Escape, 0),
                                                        gtk_named_action_new("window.close")));
  // Before the row, which would take Escape as the end of a name's editing alone.
  gtk_event_controller_set_propagation_phase(keys, GTK_PHASE_CAPTURE);
  gtk_widget_add_controller(window, keys);
  g_object_set_data_full(G_OBJECT(window), "shelf", self, (GDestroyNotify)free_shelf);
  fill(self);
  return GTK_WINDOW(window);
}
