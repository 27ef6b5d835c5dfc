// SPDX-License-Identifier: MIT
#include "qf-plan-private.h"

#include "common/qf-message.h"
#include "qf-plan-shelf-window.h"

#include <string.h>

//
// To begin from
//

static void
begin_from(QfPlanDialog* const self, QfPlan* const plan)
{
  if (plan) {
    qf_plan_edits_begin(self);
    qf_plan_free(self->plan);
    self->plan = plan;
    qf_plan_dialog_show(self, 0);
    qf_plan_list_focus(self);
  }
}

static void
ready_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  begin_from(data, qf_ready_plan_new((size_t)g_variant_get_int32(parameter)));
}

static void
own_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self  = data;
  QfPlan*             plan  = NULL;
  QfError             error = {0};

  (void)action;
  if (qf_plan_load(g_variant_get_string(parameter, NULL), &plan, &error)) {
    qf_message_toast(self->toasts, error.text);
  }
  begin_from(self, plan);
}

static void
fill_own_menu(QfPlanDialog* const self)
{
  QfPlanShelf shelf = {0};

  g_menu_remove_all(self->own_menu);
  if (!self->folder || qf_plan_shelf_read(self->folder, &shelf)) {
    return;
  }
  for (size_t i = 0; i < shelf.n_plans; ++i) {
    g_autoptr(GMenuItem) item = g_menu_item_new(shelf.plans[i].name, NULL);
    g_menu_item_set_action_and_target(item, "plan.own", "s", shelf.plans[i].path);
    g_menu_append_item(self->own_menu, item);
  }
  qf_plan_shelf_clear(&shelf);
}

void
qf_plan_own_fill_menus(QfPlanDialog* const self)
{
  for (size_t i = 0; i < qf_n_ready_plans(); ++i) {
    QfPlan* const plan = qf_ready_plan_new(i);
    if (plan) {
      g_autoptr(GMenuItem) item = g_menu_item_new(qf_plan_get_name(plan), NULL);
      g_menu_item_set_action_and_target(item, "plan.ready", "i", (int)i);
      g_menu_append_item(self->ready_menu, item);
    }
    qf_plan_free(plan);
  }
  fill_own_menu(self);
}

//
// To keep
//

/// The kept plan of a name (transfer full), or NULL
static QfPlan*
find_kept(const QfPlanDialog* const self, const char* const name)
{
  QfPlanShelf shelf = {0};
  QfPlan*     plan  = NULL;

  if (!qf_plan_shelf_read(self->folder, &shelf)) {
    for (size_t i = 0; i < shelf.n_plans && !plan; ++i) {
      if (!strcasecmp(shelf.plans[i].name, name)) {
        qf_plan_load(shelf.plans[i].path, &plan, NULL);
      }
    }
    qf_plan_shelf_clear(&shelf);
  }
  return plan;
}

static void
put_back_cb(AdwToast* const toast, const QfPlan* const before)
{
  QfPlanDialog* const self = g_object_get_data(G_OBJECT(toast), "dialog");

  qf_plan_shelf_keep(self->folder, before, NULL);
  qf_plan_free(self->kept);
  self->kept = NULL;
}

/// Say that a kept plan was replaced, and let it be put back; takes the plan
static void
tell_replaced(QfPlanDialog* const self, QfPlan* const before)
{
  AdwToast* const toast = adw_toast_new("It is kept in place of the one of that name.");

  adw_toast_set_button_label(toast, "Put Back");
  adw_toast_set_priority(toast, ADW_TOAST_PRIORITY_HIGH);
  adw_toast_set_timeout(toast, 10);
  g_object_set_data_full(G_OBJECT(toast), "before", before, (GDestroyNotify)qf_plan_free);
  g_object_set_data(G_OBJECT(toast), "dialog", self);
  g_signal_connect(toast, "button-clicked", G_CALLBACK(put_back_cb), before);
  adw_toast_overlay_add_toast(self->toasts, toast);
}

static void
keep_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self  = data;
  QfError             error = {0};

  (void)action;
  (void)parameter;
  if (!qf_plan_get_name(self->plan)[0]) {
    qf_message_toast(self->toasts, "Give the plan a name first");
    gtk_widget_grab_focus(GTK_WIDGET(self->name));
    return;
  }

  QfPlan* const before = find_kept(self, qf_plan_get_name(self->plan));
  if (qf_plan_shelf_keep(self->folder, self->plan, &error)) {
    qf_message_toast(self->toasts, error.text);
    qf_plan_free(before);
    return;
  }
  qf_plan_free(self->kept);
  self->kept = qf_plan_dup(self->plan);
  fill_own_menu(self);
  if (before && !qf_plan_equals(before, self->plan)) {
    tell_replaced(self, before);
  } else {
    qf_plan_free(before);
    qf_message_toast(self->toasts, "The plan is kept; find it under Plans in every lesson");
  }
}

static void
manage_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self   = data;
  GtkWindow* const    window = qf_plan_shelf_window_new(GTK_WINDOW(self), self->folder);

  (void)action;
  (void)parameter;
  g_signal_connect_object(window, "unmap", G_CALLBACK(fill_own_menu), self, G_CONNECT_SWAPPED);
  gtk_window_present(window);
}

void
qf_plan_own_add_actions(QfPlanDialog* const self)
{
  static const GActionEntry entries[] = {
    {.name = "ready", .activate = ready_cb, .parameter_type = "i"},
    {.name = "own", .activate = own_cb, .parameter_type = "s"},
    {.name = "keep", .activate = keep_cb},
    {.name = "manage", .activate = manage_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self->actions), entries, G_N_ELEMENTS(entries),
                                  self);
}
