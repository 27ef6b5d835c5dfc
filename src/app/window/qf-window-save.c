// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "common/qf-message.h"

#include "quintfall/document.h"

#include <string.h>

static void
go_on(QfWindow* const self)
{
  const QfWindowThen then     = self->then;
  g_autofree char*   argument = g_steal_pointer(&self->then_argument);

  self->then = NULL;
  if (then) {
    then(self, argument);
  }
}

static void
save(QfWindow* const self, const char* const path)
{
  QfError error = {0};

  if (qf_lesson_item_save(self->item, path, &error)) {
    g_autofree char* text = qf_sentence_dup(error.text);
    g_autofree char* message =
      g_strdup_printf("The lesson could not be saved. %s Nothing is lost: it is still open.", text);
    qf_window_notice(self, message);
    self->then = NULL;
    return;
  }

  qf_preferences_add_recent(self->preferences, path);
  qf_window_toast(self, "Saved");
  go_on(self);
}

static void
save_response_cb(GtkNativeDialog* const dialog, const int response, QfWindow* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char* path = g_file_get_path(file);
    if (qf_file_kind_of_path(path) != QF_FILE_LESSON) {
      char* const whole = g_strdup_printf("%s.json", path);
      g_free(path);
      path = whole;
    }
    save(self, path);
  } else {
    self->then = NULL;
  }

  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static GtkFileFilter*
lesson_filter(void)
{
  GtkFileFilter* const filter = gtk_file_filter_new();
  gtk_file_filter_set_name(filter, "Lessons");
  gtk_file_filter_add_pattern(filter, "*.json");
  return filter;
}

static void
ask_where_to_save(QfWindow* const self)
{
  GtkFileChooserNative* const dialog = gtk_file_chooser_native_new(
    "Save the Lesson", GTK_WINDOW(self), GTK_FILE_CHOOSER_ACTION_SAVE, "_Save", "_Cancel");
  const char* const path  = qf_lesson_item_get_path(self->item);
  g_autofree char*  title = qf_lesson_item_dup_title(self->item);
  g_autofree char*  name  = NULL;

  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(dialog), TRUE);
  g_autoptr(GtkFileFilter) filter = lesson_filter();
  gtk_file_chooser_add_filter(GTK_FILE_CHOOSER(dialog), filter);
  if (path) {
    g_autoptr(GFile) file = g_file_new_for_path(path);
    gtk_file_chooser_set_file(GTK_FILE_CHOOSER(dialog), file, NULL);
  } else {
    g_strdelimit(title, "/\\", '-');
    name = g_strdup_printf("%s.json", title);
    gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(dialog), name);
  }
  g_signal_connect(dialog, "response", G_CALLBACK(save_response_cb), self);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

static void
save_or_ask(QfWindow* const self)
{
  const char* const path = qf_lesson_item_get_path(self->item);

  qf_window_flush_hearing(self);
  if (path) {
    g_autofree char* copy = g_strdup(path);
    save(self, copy);
  } else {
    ask_where_to_save(self);
  }
}

static void
unsaved_cb(AdwMessageDialog* const dialog, const char* const response, QfWindow* const self)
{
  (void)dialog;
  if (g_str_equal(response, "save")) {
    save_or_ask(self);
  } else if (g_str_equal(response, "discard")) {
    go_on(self);
  } else {
    self->then = NULL;
  }
}

void
qf_window_guard(QfWindow* const self, const QfWindowThen then, const char* const argument)
{
  g_autofree char* title = qf_lesson_item_dup_title(self->item);

  qf_window_flush_hearing(self);
  g_free(self->then_argument);
  self->then          = then;
  self->then_argument = g_strdup(argument);
  if (!qf_lesson_item_is_modified(self->item)) {
    go_on(self);
    return;
  }

  GtkWidget* const dialog = adw_message_dialog_new(GTK_WINDOW(self), "Save your changes?", NULL);
  adw_message_dialog_format_body(ADW_MESSAGE_DIALOG(dialog),
                                 "“%s” has changes that are not saved yet. Without saving they "
                                 "are lost.",
                                 title);
  adw_message_dialog_add_responses(ADW_MESSAGE_DIALOG(dialog), "cancel", "_Cancel", "discard",
                                   "_Discard", "save", "_Save", NULL);
  adw_message_dialog_set_response_appearance(ADW_MESSAGE_DIALOG(dialog), "discard",
                                             ADW_RESPONSE_DESTRUCTIVE);
  adw_message_dialog_set_response_appearance(ADW_MESSAGE_DIALOG(dialog), "save",
                                             ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_default_response(ADW_MESSAGE_DIALOG(dialog), "save");
  adw_message_dialog_set_close_response(ADW_MESSAGE_DIALOG(dialog), "cancel");
  g_signal_connect(dialog, "response", G_CALLBACK(unsaved_cb), self);
  qf_message_present(ADW_MESSAGE_DIALOG(dialog));
}

static void
save_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)parameter;
  self->then = NULL;
  if (g_str_equal(g_action_get_name(G_ACTION(action)), "save")) {
    save_or_ask(self);
  } else {
    qf_window_flush_hearing(self);
    ask_where_to_save(self);
  }
}

void
qf_window_add_save_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "save", .activate = save_cb},
    {.name = "save-as", .activate = save_cb},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
