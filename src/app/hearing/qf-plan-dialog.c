// SPDX-License-Identifier: MIT
#include "qf-plan-dialog.h"

#include "common/qf-message.h"
#include "qf-app.h"
#include "qf-step-editor.h"

#include "quintfall/plan_shelf.h"
#include "quintfall/recordings.h"

#include <stdlib.h>

struct _QfPlanDialog {
  AdwWindow        parent_instance;
  GtkWidget*       apply; ///< Template child, as all widgets below
  AdwToastOverlay* toasts;
  GtkEditable*     name;
  GtkListBox*      steps;
  QfStepEditor*    editor;
  GtkLabel*        length;
  GMenu*           ready_menu;
  GMenu*           own_menu;

  QfLessonItem*       item;    ///< Owned reference
  GSimpleActionGroup* actions; ///< Owned
  QfPlan*             plan;    ///< Owned; what is being edited
  QfPlanShelf         shelf;   ///< Owned; as the menu shows it
  char*               folder;  ///< Of the user's own plans
  gboolean            is_filling;
};

G_DEFINE_FINAL_TYPE(QfPlanDialog, qf_plan_dialog, ADW_TYPE_WINDOW)

static void
toast(QfPlanDialog* const self, const char* const text)
{
  g_autofree char* markup = g_markup_escape_text(text, -1);
  adw_toast_overlay_add_toast(self->toasts, adw_toast_new(markup));
}

static void
toast_error(QfPlanDialog* const self, const QfError* const error)
{
  g_autofree char* text = qf_sentence_dup(error->text);
  toast(self, text);
}

/// Index of the chosen step, or that of none
static size_t
chosen(const QfPlanDialog* const self)
{
  GtkListBoxRow* const row = gtk_list_box_get_selected_row(self->steps);
  return row ? (size_t)gtk_list_box_row_get_index(row) : SIZE_MAX;
}

//
// Showing
//

static void
enable(QfPlanDialog* const self, const char* const name, const gboolean is_enabled)
{
  GAction* const action = g_action_map_lookup_action(G_ACTION_MAP(self->actions), name);
  g_simple_action_set_enabled(G_SIMPLE_ACTION(action), is_enabled);
}

static void
show_actions(QfPlanDialog* const self)
{
  const size_t index   = chosen(self);
  const size_t n_steps = qf_plan_n_steps(self->plan);
  enable(self, "add", n_steps < QF_PLAN_MAX_STEPS);
  enable(self, "remove", index < n_steps);
  enable(self, "up", index < n_steps && index > 0);
  enable(self, "down", index < n_steps && index + 1U < n_steps);
}

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
  const long        seconds     = lround(performance.events.length_s);
  g_autofree char*  length =
    g_strdup_printf("%zu hearings, %ld min %02ld s in all", qf_plan_n_hearings(self->plan),
                    seconds / 60, seconds % 60);
  const bool       is_good = !fault && !st;
  g_autofree char* text =
    g_strdup_printf("%s%s%s", is_good ? length : "", is_good && why ? "\n" : "", why ? why : "");
  gtk_label_set_text(self->length, text);
  gtk_widget_set_sensitive(self->apply, is_good);
  qf_performance_clear(&performance);
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

static void
show_row(QfPlanDialog* const self, const size_t index)
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

static void
show_step(QfPlanDialog* const self)
{
  const size_t index = chosen(self);
  qf_step_editor_show(
    self->editor, index < qf_plan_n_steps(self->plan) ? qf_plan_get_step(self->plan, index) : NULL);
  show_actions(self);
  show_length(self);
}

/// Make the list anew and choose a step
static void
show_list(QfPlanDialog* const self, const size_t index)
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
    show_row(self, i);
  }
  GtkListBoxRow* const row = gtk_list_box_get_row_at_index(self->steps, (int)index);
  gtk_list_box_select_row(self->steps, row);
  self->is_filling = FALSE;
  show_step(self);
}

static void
show_plan(QfPlanDialog* const self)
{
  gtk_editable_set_text(self->name, qf_plan_get_name(self->plan));
  show_list(self, 0);
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
  const size_t index = chosen(self);
  if (index < qf_plan_n_steps(self->plan)) {
    qf_plan_set_step(self->plan, index, qf_step_editor_get_step(self->editor));
    show_row(self, index);
    show_length(self);
  }
}

//
// Steps
//

static void
focus_row(QfPlanDialog* const self)
{
  GtkListBoxRow* const row = gtk_list_box_get_selected_row(self->steps);
  if (row) {
    gtk_widget_grab_focus(GTK_WIDGET(row));
  }
}

static void
add_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self  = data;
  const size_t        index = chosen(self);
  const size_t        place =
    index < qf_plan_n_steps(self->plan) ? index + 1U : qf_plan_n_steps(self->plan);
  const QfStepKind kind = (QfStepKind)g_variant_get_int32(parameter);

  (void)action;
  if (qf_plan_insert_step(self->plan, place, qf_plan_step_default(kind))) {
    toast(self, "A plan has at most 64 steps");
    return;
  }
  show_list(self, place);
}

static void
remove_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self  = data;
  const size_t        index = chosen(self);

  (void)action;
  (void)parameter;
  qf_plan_remove_step(self->plan, index);
  show_list(self, index && index >= qf_plan_n_steps(self->plan) ? index - 1U : index);
  focus_row(self);
}

static void
move_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self  = data;
  const size_t        index = chosen(self);
  const bool          is_up = g_str_equal(g_action_get_name(G_ACTION(action)), "up");
  const size_t        there = is_up ? index - 1U : index + 1U;

  (void)parameter;
  qf_plan_move_step(self->plan, index, there);
  show_list(self, there);
  focus_row(self);
}

//
// Plans
//

static void
take_name(QfPlanDialog* const self)
{
  qf_plan_set_name(self->plan, gtk_editable_get_text(self->name));
}

static void
begin_from(QfPlanDialog* const self, QfPlan* const plan)
{
  if (plan) {
    qf_plan_free(self->plan);
    self->plan = plan;
    show_plan(self);
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
    toast_error(self, &error);
  }
  begin_from(self, plan);
}

static void
fill_own_menu(QfPlanDialog* const self)
{
  g_menu_remove_all(self->own_menu);
  qf_plan_shelf_clear(&self->shelf);
  if (!self->folder || qf_plan_shelf_read(self->folder, &self->shelf)) {
    return;
  }
  for (size_t i = 0; i < self->shelf.n_plans; ++i) {
    g_autoptr(GMenuItem) item = g_menu_item_new(self->shelf.plans[i].name, NULL);
    g_menu_item_set_action_and_target(item, "plan.own", "s", self->shelf.plans[i].path);
    g_menu_append_item(self->own_menu, item);
  }
}

static void
fill_ready_menu(QfPlanDialog* const self)
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
}

static void
keep_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self  = data;
  QfError             error = {0};

  (void)action;
  (void)parameter;
  take_name(self);
  if (!qf_plan_get_name(self->plan)[0]) {
    toast(self, "Give the plan a name first");
    gtk_widget_grab_focus(GTK_WIDGET(self->name));
  } else if (qf_plan_shelf_keep(self->folder, self->plan, &error)) {
    toast_error(self, &error);
  } else {
    toast(self, "The plan is kept; find it under Plans in every lesson");
  }
  fill_own_menu(self);
}

static void
forget_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfPlanDialog* const self  = data;
  QfError             error = {0};

  (void)action;
  (void)parameter;
  if (qf_plan_shelf_remove(self->folder, gtk_editable_get_text(self->name), &error)) {
    toast_error(self, &error);
  } else {
    toast(self, "The plan is no longer kept");
  }
  fill_own_menu(self);
}

static void
apply_cb(QfPlanDialog* const self)
{
  QfLesson* const     lesson = qf_lesson_item_get_lesson(self->item);
  const QfPlan* const before = qf_lesson_get_plan(lesson);
  QfError             error  = {0};

  take_name(self);
  if (!before || !qf_plan_equals(before, self->plan)) {
    const QfStatus st = qf_lesson_set_plan(lesson, self->plan, &error);
    if (st) {
      toast_error(self, &error);
      return;
    }
    qf_lesson_item_finish(self->item, st, &error);
  }
  gtk_window_close(GTK_WINDOW(self));
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
  qf_plan_shelf_clear(&self->shelf);
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
  gtk_widget_class_bind_template_callback(widget_class, selected_cb);
  gtk_widget_class_bind_template_callback(widget_class, edited_cb);
}

static void
qf_plan_dialog_init(QfPlanDialog* const self)
{
  static const GActionEntry entries[] = {
    {.name = "add", .activate = add_cb, .parameter_type = "i"},
    {.name = "remove", .activate = remove_cb},
    {.name = "up", .activate = move_cb},
    {.name = "down", .activate = move_cb},
    {.name = "ready", .activate = ready_cb, .parameter_type = "i"},
    {.name = "own", .activate = own_cb, .parameter_type = "s"},
    {.name = "keep", .activate = keep_cb},
    {.name = "forget", .activate = forget_cb},
  };

  self->is_filling = TRUE;
  self->actions    = g_simple_action_group_new();
  self->folder     = qf_plan_shelf_folder();
  g_action_map_add_action_entries(G_ACTION_MAP(self->actions), entries, G_N_ELEMENTS(entries),
                                  self);
  gtk_widget_insert_action_group(GTK_WIDGET(self), "plan", G_ACTION_GROUP(self->actions));
  gtk_widget_init_template(GTK_WIDGET(self));
  fill_ready_menu(self);
  fill_own_menu(self);
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

  self->item = g_object_ref(item);
  self->plan = own ? qf_plan_dup(own) : qf_ready_plan_new(0);
  if (!self->plan) {
    g_error("out of memory"); // As GLib does
  }
  qf_step_editor_set_lesson(self->editor, qf_lesson_item_get_score(item), folder, soundfont);
  show_plan(self);
  return self;
}
