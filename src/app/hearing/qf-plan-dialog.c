// SPDX-License-Identifier: MIT
#include "qf-plan-dialog.h"

#include "common/qf-message.h"
#include "qf-app.h"
#include "qf-plan-private.h"

#include "quintfall/recordings.h"

#include <stdlib.h>

G_DEFINE_FINAL_TYPE(QfPlanDialog, qf_plan_dialog, ADW_TYPE_WINDOW)

enum { HEAR, N_SIGNALS };
static guint signals[N_SIGNALS];

//
// Showing
//

static QfStatus
perform(QfPlanDialog* const self, QfPerformance* const performance, QfError* const error)
{
  const char* const     path    = qf_lesson_item_get_path(self->item);
  g_autofree char*      folder  = path ? g_path_get_dirname(path) : NULL;
  const QfRecordOptions options = {.plan = self->plan, .folder = folder};
  return qf_document_perform(qf_lesson_item_get_lesson(self->item), options, QF_ALL_HEARINGS,
                             performance, error);
}

/// What is wrong or left out, as a sentence, or NULL
static char*
dup_trouble(const char* const fault, const char* const words)
{
  return fault ? g_strdup_printf("%s.", fault) : words ? qf_sentence_dup(words) : NULL;
}

/// Say how long it all lasts, or what is wrong with it
static void
show_length(QfPlanDialog* const self)
{
  const char* const fault       = qf_step_editor_get_fault(self->editor);
  QfPerformance     performance = {0};
  QfError           error       = {0};
  const QfStatus    st          = fault ? QF_OK : perform(self, &performance, &error);
  g_autofree char*  why         = dup_trouble(fault, st ? error.text : performance.remarks);
  const size_t      n_hearings  = qf_plan_n_hearings(self->plan);
  const long        seconds     = lround(performance.events.length_s);
  g_autofree char*  length  = g_strdup_printf("%zu hearing%s, %ld min %02ld s in all", n_hearings,
                                            n_hearings == 1 ? "" : "s", seconds / 60, seconds % 60);
  const bool        is_good = !fault && !st;
  g_autofree char*  text =
    g_strdup_printf("%s%s%s", is_good ? length : "", is_good && why ? "\n" : "", why ? why : "");
  gtk_label_set_text(self->length, text);
  gtk_widget_set_sensitive(self->apply, is_good);
  qf_performance_clear(&performance);
}

static void
show_step(QfPlanDialog* const self)
{
  const size_t index = qf_plan_list_get_chosen(self);
  qf_step_editor_show(
    self->editor, index < qf_plan_n_steps(self->plan) ? qf_plan_get_step(self->plan, index) : NULL);
  qf_plan_edits_show_actions(self);
  show_length(self);
}

void
qf_plan_dialog_show(QfPlanDialog* const self, const size_t chosen)
{
  self->is_filling = TRUE;
  gtk_editable_set_text(self->name, qf_plan_get_name(self->plan));
  qf_plan_list_fill(self, chosen);
  self->is_filling = FALSE;
  show_step(self);
}

static void
selected_cb(QfPlanDialog* const self)
{
  if (!self->is_filling) {
    show_step(self);
  }
}

static void
edited_cb(QfPlanDialog* const self)
{
  qf_plan_edits_take_step(self);
  show_length(self);
}

static void
name_cb(QfPlanDialog* const self)
{
  if (!self->is_filling) {
    qf_plan_edits_take_name(self);
  }
}

//
// Hearing
//

/// Hear the plan as it is here, from the chosen step on; pressed again, it stops
static void
hear_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self = data;

  (void)action;
  (void)parameter;
  if (gtk_widget_get_sensitive(self->apply)) {
    g_signal_emit(self, signals[HEAR], 0, self->plan, (guint64)qf_plan_list_get_chosen(self));
  }
}

//
// Ending
//

/// Take the plan into the lesson; false, with a message, if that cannot be
static gboolean
apply(QfPlanDialog* const self)
{
  QfLesson* const     lesson = qf_lesson_item_get_lesson(self->item);
  const QfPlan* const before = qf_lesson_get_plan(lesson);
  QfError             error  = {0};

  if (!before || !qf_plan_equals(before, self->plan)) {
    const QfStatus st = qf_lesson_set_plan(lesson, self->plan, &error);
    if (st) {
      qf_message_toast(self->toasts, error.text);
      return FALSE;
    }
    qf_lesson_item_finish(self->item, st, &error);
  }
  return TRUE;
}

static void
apply_cb(QfPlanDialog* const self)
{
  if (apply(self)) {
    gtk_window_destroy(GTK_WINDOW(self));
  }
}

static void
answered_cb(QfPlanDialog* const self, const char* const response)
{
  if (g_str_equal(response, "discard")) {
    gtk_window_destroy(GTK_WINDOW(self));
  } else if (g_str_equal(response, "apply")) {
    apply_cb(self);
  }
}

/// Ask before changes are lost that are neither in the lesson nor kept for others
static gboolean
close_cb(QfPlanDialog* const self)
{
  const bool is_safe = qf_plan_equals(self->plan, self->original) ||
                       (self->kept && qf_plan_equals(self->plan, self->kept));
  if (is_safe) {
    return FALSE;
  }

  AdwMessageDialog* const question = ADW_MESSAGE_DIALOG(adw_message_dialog_new(
    GTK_WINDOW(self), "Apply the Changes to the Plan?", "Otherwise they are lost."));
  adw_message_dialog_add_responses(question, "stay", "_Keep Editing", "discard", "_Discard",
                                   "apply", "_Apply", NULL);
  adw_message_dialog_set_response_appearance(question, "discard", ADW_RESPONSE_DESTRUCTIVE);
  adw_message_dialog_set_response_appearance(question, "apply", ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_response_enabled(question, "apply", gtk_widget_get_sensitive(self->apply));
  adw_message_dialog_set_default_response(question, "apply");
  adw_message_dialog_set_close_response(question, "stay");
  g_signal_connect_object(question, "response", G_CALLBACK(answered_cb), self, G_CONNECT_SWAPPED);
  qf_message_present(question);
  return TRUE;
}

//
// Class
//

static void
qf_plan_dialog_dispose(GObject* const object)
{
  QfPlanDialog* const self = QF_PLAN_DIALOG(object);

  self->is_filling = TRUE;
  g_clear_object(&self->actions);
  G_OBJECT_CLASS(qf_plan_dialog_parent_class)->dispose(object);
}

static void
qf_plan_dialog_finalize(GObject* const object)
{
  QfPlanDialog* const self = QF_PLAN_DIALOG(object);

  g_clear_object(&self->item);
  g_clear_pointer(&self->plan, qf_plan_free);
  g_clear_pointer(&self->original, qf_plan_free);
  g_clear_pointer(&self->kept, qf_plan_free);
  qf_plan_edits_clear(self);
  free(self->folder);
  G_OBJECT_CLASS(qf_plan_dialog_parent_class)->finalize(object);
}

static void
qf_plan_dialog_class_init(QfPlanDialogClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose  = qf_plan_dialog_dispose;
  G_OBJECT_CLASS(klass)->finalize = qf_plan_dialog_finalize;
  g_type_ensure(QF_TYPE_STEP_EDITOR);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-plan-dialog.ui");
  gtk_widget_class_bind_template_child(widget_class, QfPlanDialog, apply);
  gtk_widget_class_bind_template_child(widget_class, QfPlanDialog, toasts);
  gtk_widget_class_bind_template_child(widget_class, QfPlanDialog, name);
  gtk_widget_class_bind_template_child(widget_class, QfPlanDialog, steps);
  gtk_widget_class_bind_template_child(widget_class, QfPlanDialog, editor);
  gtk_widget_class_bind_template_child(widget_class, QfPlanDialog, length);
  gtk_widget_class_bind_template_child(widget_class, QfPlanDialog, ready_menu);
  gtk_widget_class_bind_template_child(widget_class, QfPlanDialog, own_menu);
  gtk_widget_class_bind_template_callback(widget_class, apply_cb);
  gtk_widget_class_bind_template_callback(widget_class, close_cb);
  gtk_widget_class_bind_template_callback(widget_class, selected_cb);
  gtk_widget_class_bind_template_callback(widget_class, edited_cb);
  gtk_widget_class_bind_template_callback(widget_class, name_cb);

  signals[HEAR] = g_signal_new("hear", QF_TYPE_PLAN_DIALOG, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                               G_TYPE_NONE, 2, G_TYPE_POINTER, G_TYPE_UINT64);
}

static void
qf_plan_dialog_init(QfPlanDialog* const self)
{
  static const GActionEntry entries[] = {{.name = "hear", .activate = hear_cb}};

  self->is_filling  = TRUE;
  self->edited_step = SIZE_MAX;
  self->actions     = g_simple_action_group_new();
  self->folder      = qf_plan_shelf_folder();
  g_queue_init(&self->done);
  g_queue_init(&self->undone);
  g_action_map_add_action_entries(G_ACTION_MAP(self->actions), entries, G_N_ELEMENTS(entries),
                                  self);
  qf_plan_edits_add_actions(self);
  qf_plan_own_add_actions(self);
  gtk_widget_insert_action_group(GTK_WIDGET(self), "plan", G_ACTION_GROUP(self->actions));
  gtk_widget_init_template(GTK_WIDGET(self));
  qf_plan_own_fill_menus(self);
  qf_plan_list_accept_drags(self);
  self->is_filling = FALSE;
}

QfPlanDialog*
qf_plan_dialog_new(GtkWindow* const           parent,
                   QfLessonItem* const        item,
                   const QfPreferences* const preferences)
{
  QfPlanDialog* const self      = g_object_new(QF_TYPE_PLAN_DIALOG, "transient-for", parent, NULL);
  const QfPlan* const own       = qf_lesson_get_plan(qf_lesson_item_get_lesson(item));
  const char* const   path      = qf_lesson_item_get_path(item);
  g_autofree char*    folder    = path ? g_path_get_dirname(path) : NULL;
  g_autofree char*    soundfont = qf_preferences_dup_soundfont(preferences);

  self->item     = g_object_ref(item);
  self->plan     = own ? qf_plan_dup(own) : qf_ready_plan_new(0);
  self->original = self->plan ? qf_plan_dup(self->plan) : NULL;
  if (!self->original) {
    g_error("out of memory"); // As GLib does
  }
  qf_step_editor_set_lesson(self->editor, qf_lesson_item_get_score(item), folder, soundfont);
  qf_plan_dialog_show(self, 0);
  qf_plan_list_focus(self);
  return self;
}
