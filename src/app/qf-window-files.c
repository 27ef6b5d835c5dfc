// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "qf-app.h"
#include "qf-journal.h"

#include "quintfall/document.h"

#include <string.h>

// ---- unsaved changes

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
    char text[512];
    qf_error_describe(&error, NULL, text, sizeof(text));
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
  gtk_window_present(GTK_WINDOW(dialog));
}

// ---- opening

static void
show_open_error(QfWindow* const self, const char* const name, const QfError* const error)
{
  char text[512];
  qf_error_describe(error, name, text, sizeof(text));

  GtkWidget* const dialog = adw_message_dialog_new(GTK_WINDOW(self), NULL, NULL);
  adw_message_dialog_format_heading(ADW_MESSAGE_DIALOG(dialog), "“%s” cannot be opened", name);
  adw_message_dialog_format_body(ADW_MESSAGE_DIALOG(dialog),
                                 "%s\n\nThe lesson that was open stays as it is.", text);
  adw_message_dialog_add_response(ADW_MESSAGE_DIALOG(dialog), "close", "_Close");
  gtk_window_present(GTK_WINDOW(dialog));
}

static void
open_now(QfWindow* const self, const char* const path)
{
  QfLesson* lesson  = NULL;
  char*     remarks = NULL;
  QfError   error   = {0};

  if (qf_document_open(path, &lesson, &remarks, &error)) {
    g_autofree char* base = g_path_get_basename(path);
    show_open_error(self, base, &error);
    return;
  }

  // Other formats are read into a new lesson, so that saving never overwrites the source.
  const bool is_lesson = qf_file_kind_of_path(path) == QF_FILE_LESSON;
  qf_lesson_item_take(self->item, lesson, is_lesson ? path : NULL, FALSE);
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
    show_open_error(self, name, &error);
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

  gtk_file_filter_set_name(filter, "Lessons, MusicXML, MIDI and RomanText");
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

// ---- recovery

static void
recovery_cb(AdwMessageDialog* const dialog, const char* const response, QfWindow* const self)
{
  const char* const path   = g_object_get_data(G_OBJECT(dialog), "journal");
  QfLesson*         lesson = NULL;
  QfError           error  = {0};

  if (g_str_equal(response, "discard")) {
    qf_journal_remove(path);
  } else if (g_str_equal(response, "recover")) {
    if (qf_lesson_load(path, &lesson, &error)) {
      show_open_error(self, "recovered lesson", &error);
      return;
    }
    qf_lesson_item_take(self->item, lesson, NULL, TRUE);
    qf_journal_remove(path);
  }
}

void
qf_window_offer_recovery(QfWindow* const self)
{
  char* const path = qf_journal_find_left_over();
  if (!path) {
    return;
  }

  GtkWidget* const dialog = adw_message_dialog_new(
    GTK_WINDOW(self), "Recover unsaved work?",
    "Quintfall ended before a lesson was saved. Its last state was kept aside.");
  adw_message_dialog_add_responses(ADW_MESSAGE_DIALOG(dialog), "later", "_Later", "discard",
                                   "_Discard", "recover", "_Recover", NULL);
  adw_message_dialog_set_response_appearance(ADW_MESSAGE_DIALOG(dialog), "discard",
                                             ADW_RESPONSE_DESTRUCTIVE);
  adw_message_dialog_set_response_appearance(ADW_MESSAGE_DIALOG(dialog), "recover",
                                             ADW_RESPONSE_SUGGESTED);
  adw_message_dialog_set_default_response(ADW_MESSAGE_DIALOG(dialog), "recover");
  adw_message_dialog_set_close_response(ADW_MESSAGE_DIALOG(dialog), "later");
  g_object_set_data_full(G_OBJECT(dialog), "journal", path, g_free);
  g_signal_connect(dialog, "response", G_CALLBACK(recovery_cb), self);
  gtk_window_present(GTK_WINDOW(dialog));
}

// ---- actions

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

static void
properties_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  qf_window_show_properties(data);
}

void
qf_window_add_file_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "new", .activate = file_cb},
    {.name = "open", .activate = file_cb},
    {.name = "open-path", .activate = file_cb, .parameter_type = "s"},
    {.name = "demo", .activate = file_cb, .parameter_type = "s"},
    {.name = "close", .activate = file_cb},
    {.name = "save", .activate = save_cb},
    {.name = "save-as", .activate = save_cb},
    {.name = "properties", .activate = properties_cb},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
