// SPDX-License-Identifier: MIT
#include "qf-questions-dialog.h"

#include "qf-question-form.h"

#include "common/qf-keys.h"
#include "common/qf-message.h"

#include "quintfall/leading.h"

#include <stdlib.h>

/// The dialog's widgets; freed with its window
typedef struct {
  GtkWindow*    window;
  GtkListBox*   list;
  GtkLabel*     counts;
  QfLessonItem* item; ///< Owned reference
  size_t        n_shown;
  gboolean      is_toggling; ///< The rows are right already
} Dialog;

static QfLesson*
lesson_of(const Dialog* const self)
{
  return qf_lesson_item_get_lesson(self->item);
}

static void
dialog_free(Dialog* const self)
{
  g_signal_handlers_disconnect_by_data(self->item, self);
  g_object_unref(self->item);
  g_free(self);
}

static size_t
index_of(GtkWidget* const widget)
{
  return GPOINTER_TO_SIZE(g_object_get_data(G_OBJECT(widget), "question"));
}

static void
asked_cb(GtkCheckButton* const check, GParamSpec* const spec, Dialog* const self)
{
  const bool is_asked = gtk_check_button_get_active(check);
  QfError    error    = {0};

  (void)spec;
  self->is_toggling = TRUE;
  qf_lesson_item_finish(
    self->item,
    qf_lesson_drop_question(lesson_of(self), index_of(GTK_WIDGET(check)), !is_asked, &error),
    &error);
  self->is_toggling = FALSE;
}

/// Take a changed question back to what the lesson makes of it
static void
restore_cb(GtkButton* const button, Dialog* const self)
{
  QfLesson* const   lesson = lesson_of(self);
  const size_t      index  = index_of(GTK_WIDGET(button));
  const size_t      n      = qf_lesson_n_questions(lesson);
  QfQuestion* const all    = g_new(QfQuestion, n);
  QfQuestion*       made   = NULL;
  size_t            n_made = 0;
  QfError           error  = {0};
  QfStatus          st     = qf_questions_make(lesson, &made, &n_made, &error);

  for (size_t i = 0; i < n; ++i) {
    all[i] = *qf_lesson_get_question(lesson, i);
  }
  for (size_t i = 0; i < n_made; ++i) {
    if (g_str_equal(made[i].id, all[index].id)) {
      made[i].is_dropped = all[index].is_dropped;
      all[index]         = made[i];
    }
  }
  st = st ? st : qf_lesson_set_questions(lesson, all, n, &error);
  g_free(all);
  free(made);
  qf_lesson_item_finish(self->item, st, &error);
}

/// Where a button of a question went after the rows were made anew
static void
focus_button(Dialog* const self, const size_t question, const int by)
{
  GtkListBoxRow* const row = gtk_list_box_get_row_at_index(self->list, (int)question);

  if (row) {
    gtk_widget_grab_focus(g_object_get_data(G_OBJECT(row), by < 0 ? "up" : "down"));
  }
}

static void
move_cb(GtkButton* const button, Dialog* const self)
{
  const size_t from  = index_of(GTK_WIDGET(button));
  const int    by    = GPOINTER_TO_INT(g_object_get_data(G_OBJECT(button), "by"));
  QfError      error = {0};

  if ((by > 0 || from > 0) && from + (size_t)by < qf_lesson_n_questions(lesson_of(self)) &&
      qf_lesson_item_finish(
        self->item, qf_lesson_move_question(lesson_of(self), from, from + (size_t)by, &error),
        &error)) {
    focus_button(self, from + (size_t)by, by);
  }
}

static void
edit_cb(GtkButton* const button, Dialog* const self)
{
  qf_question_form_present(self->window, self->item,
                           qf_lesson_get_question(lesson_of(self), index_of(GTK_WIDGET(button))));
}

static GtkWidget*
new_button(Dialog* const     self,
           const char* const icon,
           const char* const name,
           const size_t      index,
           const GCallback   callback)
{
  GtkWidget* const button = gtk_button_new_from_icon_name(icon);

  gtk_widget_add_css_class(button, "flat");
  gtk_widget_set_valign(button, GTK_ALIGN_CENTER);
  gtk_widget_set_tooltip_text(button, name);
  gtk_accessible_update_property(GTK_ACCESSIBLE(button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  g_object_set_data(G_OBJECT(button), "question", GSIZE_TO_POINTER(index));
  g_signal_connect(button, "clicked", callback, self);
  return button;
}

static void
add_row(Dialog* const self, const QfQuestion* const question, const size_t index)
{
  GtkWidget* const row   = adw_action_row_new();
  GtkWidget* const check = gtk_check_button_new();
  GtkWidget* const up =
    new_button(self, "go-up-symbolic", "Ask earlier", index, G_CALLBACK(move_cb));
  GtkWidget* const down =
    new_button(self, "go-down-symbolic", "Ask later", index, G_CALLBACK(move_cb));
  g_autofree char* prompt = g_markup_escape_text(question->prompt, -1);
  g_autofree char* plain =
    g_strdup_printf("%s \u2022 answer: %s%s", qf_stage_name(question->stage), question->answers[0],
                    question->is_own      ? " \u2022 your own"
                    : question->is_edited ? " \u2022 edited"
                                          : "");
  g_autofree char* subtitle = g_markup_escape_text(plain, -1);

  adw_preferences_row_set_title(ADW_PREFERENCES_ROW(row), prompt);
  adw_action_row_set_subtitle(ADW_ACTION_ROW(row), subtitle);
  adw_action_row_set_title_lines(ADW_ACTION_ROW(row), 3);
  gtk_check_button_set_active(GTK_CHECK_BUTTON(check), !question->is_dropped);
  gtk_widget_set_tooltip_text(check, "Asked");
  gtk_accessible_update_property(GTK_ACCESSIBLE(check), GTK_ACCESSIBLE_PROPERTY_LABEL, "Asked", -1);
  g_object_set_data(G_OBJECT(check), "question", GSIZE_TO_POINTER(index));
  g_signal_connect(check, "notify::active", G_CALLBACK(asked_cb), self);
  g_object_set_data(G_OBJECT(up), "by", GINT_TO_POINTER(-1));
  g_object_set_data(G_OBJECT(down), "by", GINT_TO_POINTER(1));
  g_object_set_data(G_OBJECT(row), "up", up);
  g_object_set_data(G_OBJECT(row), "down", down);
  adw_action_row_add_prefix(ADW_ACTION_ROW(row), check);
  if (question->is_edited) {
    adw_action_row_add_suffix(ADW_ACTION_ROW(row), new_button(self, "edit-undo-symbolic",
                                                              "Back to what the lesson makes it",
                                                              index, G_CALLBACK(restore_cb)));
  }
  adw_action_row_add_suffix(ADW_ACTION_ROW(row), up);
  adw_action_row_add_suffix(ADW_ACTION_ROW(row), down);
  adw_action_row_add_suffix(
    ADW_ACTION_ROW(row),
    new_button(self, "document-edit-symbolic", "Edit the question", index, G_CALLBACK(edit_cb)));
  gtk_list_box_append(self->list, row);
}

static void
fill(Dialog* const self)
{
  const QfLesson* const lesson  = lesson_of(self);
  const size_t          n       = qf_lesson_n_questions(lesson);
  size_t                n_asked = 0;
  const bool            is_same = self->is_toggling && n == self->n_shown;

  self->n_shown = n;
  for (GtkWidget* row = NULL;
       !is_same && (row = gtk_widget_get_first_child(GTK_WIDGET(self->list)));) {
    gtk_list_box_remove(self->list, row);
  }
  for (size_t i = 0; i < n; ++i) {
    const QfQuestion* const question = qf_lesson_get_question(lesson, i);
    if (!is_same) {
      add_row(self, question, i);
    }
    n_asked += !question->is_dropped;
  }

  g_autofree char* text =
    n ? g_strdup_printf("%zu questions, %zu of them asked", n, n_asked)
      : g_strdup("The questions follow the lesson by themselves. Make them here to edit them.");
  gtk_label_set_text(self->counts, text);
}

static void
renew_cb(Dialog* const self)
{
  QfError error = {0};
  qf_lesson_item_finish(self->item, qf_questions_renew(lesson_of(self), &error), &error);
}

/// All as it was before any question was changed: they follow the lesson by themselves
static void
forget_cb(Dialog* const self)
{
  QfError error = {0};
  qf_lesson_item_finish(self->item, qf_lesson_set_questions(lesson_of(self), NULL, 0, &error),
                        &error);
}

static gboolean
undo_cb(GtkWidget* const widget, GVariant* const arguments, gpointer data)
{
  Dialog* const self = data;

  (void)widget;
  (void)arguments;
  if (qf_lesson_can_undo(lesson_of(self))) {
    qf_lesson_item_finish(self->item, qf_lesson_undo(lesson_of(self)), NULL);
  }
  return TRUE;
}

static gboolean
redo_cb(GtkWidget* const widget, GVariant* const arguments, gpointer data)
{
  Dialog* const self = data;

  (void)widget;
  (void)arguments;
  if (qf_lesson_can_redo(lesson_of(self))) {
    qf_lesson_item_finish(self->item, qf_lesson_redo(lesson_of(self)), NULL);
  }
  return TRUE;
}

static void
add_cb(Dialog* const self)
{
  qf_question_form_present(self->window, self->item, NULL);
}

static GtkWidget*
new_list(Dialog* const self)
{
  GtkWidget* const scroller = gtk_scrolled_window_new();
  GtkWidget* const clamp    = adw_clamp_new();

  self->list = GTK_LIST_BOX(gtk_list_box_new());
  gtk_list_box_set_selection_mode(self->list, GTK_SELECTION_NONE);
  gtk_widget_add_css_class(GTK_WIDGET(self->list), "boxed-list");
  gtk_widget_set_valign(GTK_WIDGET(self->list), GTK_ALIGN_START);
  gtk_widget_set_margin_top(clamp, 12);
  gtk_widget_set_margin_bottom(clamp, 18);
  gtk_widget_set_margin_start(clamp, 12);
  gtk_widget_set_margin_end(clamp, 12);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->list), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 "Leading questions", -1);
  adw_clamp_set_maximum_size(ADW_CLAMP(clamp), 760);
  adw_clamp_set_child(ADW_CLAMP(clamp), GTK_WIDGET(self->list));
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scroller), clamp);
  gtk_widget_set_vexpand(scroller, TRUE);
  return scroller;
}

void
qf_questions_dialog_present(GtkWindow* const parent, QfLessonItem* const item)
{
  Dialog* const    self   = g_new0(Dialog, 1);
  GtkWidget* const window = adw_window_new();
  GtkWidget* const box    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget* const header = adw_header_bar_new();
  GtkWidget* const add    = gtk_button_new_with_mnemonic("_Add");
  GtkWidget* const renew  = gtk_button_new_with_mnemonic("_Make from the Lesson");
  GtkWidget* const forget = gtk_button_new_with_mnemonic("_Forget All Changes");

  self->window = GTK_WINDOW(window);
  self->item   = g_object_ref(item);
  self->counts = GTK_LABEL(gtk_label_new(NULL));
  gtk_widget_set_tooltip_text(renew, "What you edited, dropped, added and moved stays");
  gtk_widget_set_tooltip_text(forget, "Back to the questions that follow the lesson by themselves; "
                                      "Ctrl+Z takes this back");
  gtk_widget_set_margin_top(GTK_WIDGET(self->counts), 10);
  gtk_label_set_wrap(self->counts, TRUE);
  adw_header_bar_pack_start(ADW_HEADER_BAR(header), add);
  adw_header_bar_pack_end(ADW_HEADER_BAR(header), renew);
  adw_header_bar_pack_end(ADW_HEADER_BAR(header), forget);
  gtk_box_append(GTK_BOX(box), header);
  gtk_box_append(GTK_BOX(box), GTK_WIDGET(self->counts));
  gtk_box_append(GTK_BOX(box), new_list(self));
  adw_window_set_content(ADW_WINDOW(window), box);
  gtk_window_set_title(self->window, "Leading Questions");
  gtk_window_set_transient_for(self->window, parent);
  gtk_window_set_default_size(self->window, 820, 680);
  g_object_set_data_full(G_OBJECT(window), "dialog", self, (GDestroyNotify)dialog_free);
  g_signal_connect_swapped(add, "clicked", G_CALLBACK(add_cb), self);
  g_signal_connect_swapped(renew, "clicked", G_CALLBACK(renew_cb), self);
  g_signal_connect_swapped(forget, "clicked", G_CALLBACK(forget_cb), self);
  g_signal_connect_swapped(item, "changed", G_CALLBACK(fill), self);
  g_signal_connect_swapped(item, "replaced", G_CALLBACK(gtk_window_close), window);
  fill(self);
  qf_keys_close_by_escape(window);
  qf_keys_add(window, GDK_KEY_z, GDK_CONTROL_MASK, undo_cb, self);
  qf_keys_add(window, GDK_KEY_z, GDK_CONTROL_MASK | GDK_SHIFT_MASK, redo_cb, self);
  qf_name_buttons(GTK_WIDGET(self->window));
  gtk_window_present(self->window);
}
