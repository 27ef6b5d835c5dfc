// SPDX-License-Identifier: MIT
#include "qf-plan-private.h"

size_t
qf_plan_list_get_chosen(const QfPlanDialog* const self)
{
  GtkListBoxRow* const row = gtk_list_box_get_selected_row(self->steps);
  return row ? (size_t)gtk_list_box_row_get_index(row) : SIZE_MAX;
}

/// The words of a row: its step, and at a pass which hearing it is
static char*
dup_row_text(const QfPlanDialog* const self, const size_t index)
{
  const QfPlanStep* const step = qf_plan_get_step(self->plan, index);
  char                    words[QF_SUMMARY_SIZE];
  qf_plan_step_describe(step, words, sizeof(words));
  return step->kind == QF_STEP_PASS
           ? g_strdup_printf("%zu. %s", qf_plan_hearing_of(self->plan, index) + 1U, words)
           : g_strdup(words);
}

void
qf_plan_list_show_row(QfPlanDialog* const self, const size_t index)
{
  GtkListBoxRow* const row   = gtk_list_box_get_row_at_index(self->steps, (int)index);
  GtkWidget* const     label = row ? gtk_list_box_row_get_child(row) : NULL;
  if (!label) {
    return;
  }

  g_autofree char* text    = dup_row_text(self, index);
  const bool       is_pass = qf_plan_get_step(self->plan, index)->kind == QF_STEP_PASS;
  gtk_label_set_text(GTK_LABEL(label), text);
  gtk_widget_set_margin_start(label, is_pass ? 0 : 18);
  if (is_pass) {
    gtk_widget_add_css_class(label, "heading");
  } else {
    gtk_widget_remove_css_class(label, "heading");
  }
  gtk_accessible_update_property(GTK_ACCESSIBLE(row), GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
}

//
// Drag and drop
//

static GdkContentProvider*
prepare_cb(GtkDragSource* const source, const double x, const double y, gpointer data)
{
  GtkWidget* const row = gtk_event_controller_get_widget(GTK_EVENT_CONTROLLER(source));

  (void)x;
  (void)y;
  (void)data;
  return gdk_content_provider_new_typed(G_TYPE_INT,
                                        gtk_list_box_row_get_index(GTK_LIST_BOX_ROW(row)));
}

static void
begin_cb(GtkDragSource* const source, GdkDrag* const drag, gpointer data)
{
  GtkWidget* const row              = gtk_event_controller_get_widget(GTK_EVENT_CONTROLLER(source));
  g_autoptr(GdkPaintable) paintable = gtk_widget_paintable_new(row);

  (void)drag;
  (void)data;
  gtk_drag_source_set_icon(source, paintable, 12, 12);
}

static GdkDragAction
motion_cb(GtkDropTarget* const target, const double x, const double y, QfPlanDialog* const self)
{
  GtkListBoxRow* const row = gtk_list_box_get_row_at_y(self->steps, (int)y);

  (void)target;
  (void)x;
  if (row) {
    gtk_list_box_drag_highlight_row(self->steps, row);
  }
  return GDK_ACTION_MOVE;
}

static void
leave_cb(GtkDropTarget* const target, QfPlanDialog* const self)
{
  (void)target;
  gtk_list_box_drag_unhighlight_row(self->steps);
}

/// A step goes to the place of the row it is dropped on, or to the end below all of them
static gboolean
drop_cb(GtkDropTarget* const target,
        const GValue* const  value,
        const double         x,
        const double         y,
        QfPlanDialog* const  self)
{
  GtkListBoxRow* const row  = gtk_list_box_get_row_at_y(self->steps, (int)y);
  const size_t         last = qf_plan_n_steps(self->plan) - 1U;
  const size_t         to   = row ? (size_t)gtk_list_box_row_get_index(row) : last;

  (void)target;
  (void)x;
  gtk_list_box_drag_unhighlight_row(self->steps);
  qf_plan_edits_move(self, (size_t)g_value_get_int(value), to);
  return TRUE;
}

static void
allow_drag(GtkWidget* const row)
{
  GtkDragSource* const source = gtk_drag_source_new();

  gtk_drag_source_set_actions(source, GDK_ACTION_MOVE);
  g_signal_connect(source, "prepare", G_CALLBACK(prepare_cb), NULL);
  g_signal_connect(source, "drag-begin", G_CALLBACK(begin_cb), NULL);
  gtk_widget_add_controller(row, GTK_EVENT_CONTROLLER(source));
}

void
qf_plan_list_accept_drags(QfPlanDialog* const self)
{
  GtkDropTarget* const target = gtk_drop_target_new(G_TYPE_INT, GDK_ACTION_MOVE);

  g_signal_connect(target, "motion", G_CALLBACK(motion_cb), self);
  g_signal_connect(target, "leave", G_CALLBACK(leave_cb), self);
  g_signal_connect(target, "drop", G_CALLBACK(drop_cb), self);
  gtk_widget_add_controller(GTK_WIDGET(self->steps), GTK_EVENT_CONTROLLER(target));
}

//
// The whole list
//

void
qf_plan_list_fill(QfPlanDialog* const self, const size_t chosen)
{
  self->is_filling = TRUE;
  for (GtkWidget* row = NULL; (row = gtk_widget_get_first_child(GTK_WIDGET(self->steps)));) {
    gtk_list_box_remove(self->steps, row);
  }
  for (size_t i = 0; i < qf_plan_n_steps(self->plan); ++i) {
    GtkWidget* const label = gtk_label_new("");
    gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
    gtk_label_set_wrap(GTK_LABEL(label), TRUE);
    gtk_list_box_append(self->steps, label);
    allow_drag(gtk_widget_get_parent(label));
    qf_plan_list_show_row(self, i);
  }
  gtk_list_box_select_row(self->steps, gtk_list_box_get_row_at_index(self->steps, (int)chosen));
  self->is_filling = FALSE;
}

void
qf_plan_list_focus(QfPlanDialog* const self)
{
  GtkListBoxRow* const row = gtk_list_box_get_selected_row(self->steps);
  if (row) {
    gtk_widget_grab_focus(GTK_WIDGET(row));
  }
}
