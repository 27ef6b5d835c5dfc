// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "common/qf-message.h"
#include "qf-app.h"

#include "quintfall/document.h"

#include <stdlib.h>
#include <string.h>

void
qf_window_show_open_error(QfWindow* const self, const char* const name, const QfError* const error)
{
  char text[512];
  qf_error_describe(error, name, text, sizeof(text));

  GtkWidget* const dialog = adw_message_dialog_new(GTK_WINDOW(self), NULL, NULL);
  adw_message_dialog_format_heading(ADW_MESSAGE_DIALOG(dialog), "“%s” cannot be opened", name);
  adw_message_dialog_format_body(ADW_MESSAGE_DIALOG(dialog),
                                 "%s\n\nThe lesson that was open stays as it is.", text);
  adw_message_dialog_add_response(ADW_MESSAGE_DIALOG(dialog), "close", "_Close");
  qf_message_present(ADW_MESSAGE_DIALOG(dialog));
}

static void
open_now(QfWindow* const self, const char* const path)
{
  QfLesson* lesson  = NULL;
  char*     remarks = NULL;
  QfError   error   = {0};

  if (qf_window_try_answer(self, path)) {
    return;
  }
  if (qf_document_open(path, &lesson, &remarks, &error)) {
    g_autofree char* base = g_path_get_basename(path);
    qf_window_show_open_error(self, base, &error);
    return;
  }

  // Other formats are read into a new lesson, so that saving never overwrites the source.
  if (qf_file_kind_of_path(path) == QF_FILE_LESSON) {
    qf_lesson_item_take(self->item, lesson, path, FALSE);
  } else {
    qf_lesson_item_import(self->item, lesson, path);
  }
  qf_preferences_add_recent(self->preferences, path);
  if (remarks) {
    g_autofree char* text = g_strdup_printf("Read with remarks:\n%s", remarks);
    qf_window_notice(self, text);
    free(remarks);
  } else {
    gtk_revealer_set_reveal_child(self->notice, FALSE);
  }
  if (qf_lesson_is_read_only(lesson)) {
    qf_window_notice(self,
                     "This lesson was written by a newer version of Quintfall. It can be read and "
                     "heard, but not changed.");
  }
}

void
qf_window_open_path(QfWindow* const self, const char* const path)
{
  qf_window_guard(self, open_now, path);
}

static void
open_demo_now(QfWindow* const self, const char* const name)
{
  g_autofree char* path   = g_strdup_printf(QF_RESOURCE "lessons/%s.json", name);
  g_autoptr(GBytes) bytes = g_resources_lookup_data(path, G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);
  QfLesson* lesson        = NULL;
  QfError   error         = {0};
  gsize     length        = 0;

  const char* const data = bytes ? g_bytes_get_data(bytes, &length) : NULL;
  const QfStatus    st   = data ? qf_lesson_from_json(data, length, &lesson, &error)
                                : qf_error_set(&error, QF_ERR_IO, "There is no such demo lesson");
  if (st) {
    qf_window_show_open_error(self, name, &error);
  } else {
    qf_lesson_item_take(self->item, lesson, NULL, FALSE);
  }
}

void
qf_window_open_demo(QfWindow* const self, const char* const name)
{
  qf_window_guard(self, open_demo_now, name);
}

static void
open_response_cb(GtkNativeDialog* const dialog, const int response, QfWindow* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char* path = g_file_get_path(file);
    open_now(self, path);
  }

  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static GtkFileFilter*
readable_filter(void)
{
  static const char* const patterns[] = {"*.json", "*.musicxml", "*.xml",   "*.mxl",
                                         "*.mid",  "*.midi",     "*.rntxt", "*.txt"};
  GtkFileFilter* const     filter     = gtk_file_filter_new();

  gtk_file_filter_set_name(filter, "Lessons, tasks and answers, MusicXML, MIDI and RomanText");
  for (gsize i = 0; i < G_N_ELEMENTS(patterns); ++i) {
    gtk_file_filter_add_pattern(filter, patterns[i]);
  }
  return filter;
}

static void
ask_what_to_open(QfWindow* const self, const char* const argument)
{
  GtkFileChooserNative* const dialog = gtk_file_chooser_native_new(
    "Open", GTK_WINDOW(self), GTK_FILE_CHOOSER_ACTION_OPEN, "_Open", "_Cancel");
  g_autoptr(GtkFileFilter) readable = readable_filter();
  g_autoptr(GtkFileFilter) all      = gtk_file_filter_new();

  (void)argument;
  gtk_file_filter_set_name(all, "All files");
  gtk_file_filter_add_pattern(all, "*");
  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(dialog), TRUE);
  gtk_file_chooser_add_filter(GTK_FILE_CHOOSER(dialog), readable);
  gtk_file_chooser_add_filter(GTK_FILE_CHOOSER(dialog), all);
  g_signal_connect(dialog, "response", G_CALLBACK(open_response_cb), self);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

void
qf_window_fill_recent(QfWindow* const self)
{
  g_auto(GStrv) paths = qf_preferences_dup_recent(self->preferences);

  g_menu_remove_all(self->recent_menu);
  for (int i = 0; paths[i]; ++i) {
    g_autofree char* base      = g_path_get_basename(paths[i]);
    g_autoptr(GMenuItem) entry = g_menu_item_new(NULL, NULL);
    // An underscore in a file's name is no mnemonic.
    g_auto(GStrv) parts    = g_strsplit(base, "_", -1);
    g_autofree char* label = g_strjoinv("__", parts);
    g_menu_item_set_label(entry, label);
    g_menu_item_set_action_and_target(entry, "win.open-path", "s", paths[i]);
    g_menu_append_item(self->recent_menu, entry);
  }
}

static void
new_now(QfWindow* const self, const char* const argument)
{
  (void)argument;
  qf_window_show_new_dialog(self);
}

static gboolean
close_cb(gpointer data)
{
  gtk_window_close(GTK_WINDOW(data));
  return G_SOURCE_REMOVE;
}

/// A window that is asked to close does not listen to a second request within the first
static void
close_now(QfWindow* const self, const char* const argument)
{
  (void)argument;
  self->is_closing = TRUE;
  g_idle_add_full(G_PRIORITY_DEFAULT_IDLE, close_cb, g_object_ref(self), g_object_unref);
}

static void
file_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const   self     = data;
  const char* const name     = g_action_get_name(G_ACTION(action));
  const char* const argument = parameter ? g_variant_get_string(parameter, NULL) : NULL;
  static const struct {
    const char*  name;
    QfWindowThen then;
  } commands[] = {
    {"new", new_now},        {"open", ask_what_to_open}, {"open-path", open_now},
    {"demo", open_demo_now}, {"close", close_now},
  };

  for (gsize i = 0; i < G_N_ELEMENTS(commands); ++i) {
    if (g_str_equal(commands[i].name, name)) {
      qf_window_guard(self, commands[i].then, argument);
    }
  }
}

static void
properties_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  qf_window_show_properties(data);
}

void
qf_window_add_open_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "new", .activate = file_cb},
    {.name = "open", .activate = file_cb},
    {.name = "open-path", .activate = file_cb, .parameter_type = "s"},
    {.name = "demo", .activate = file_cb, .parameter_type = "s"},
    {.name = "close", .activate = file_cb},
    {.name = "properties", .activate = properties_cb},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
