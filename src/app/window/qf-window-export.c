// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "common/qf-message.h"

#include <string.h>

enum {
  PROGRESS_INTERVAL_MS = 100,
};

/// Rows of a printed page for the rows the user sees in the chain
static unsigned
page_rows(const unsigned shown)
{
  static const struct {
    unsigned shown;
    unsigned printed;
  } pairs[] = {
    {QF_SHOW_SYMBOL, QF_ROW_SYMBOLS},
    {QF_SHOW_FIGURES, QF_ROW_FIGURES},
    {QF_SHOW_SOLFEGE, QF_ROW_SOLFEGE},
    {QF_SHOW_DEGREES, QF_ROW_DEGREES},
  };
  unsigned rows = QF_ROW_NUMERALS | QF_ROW_KEYS;

  for (gsize i = 0; i < G_N_ELEMENTS(pairs); ++i) {
    rows |= shown & pairs[i].shown ? pairs[i].printed : 0U;
  }

  return rows;
}

void
qf_window_show_export_error(QfWindow* const      self,
                            const char* const    path,
                            const QfError* const error)
{
  g_autofree char* base    = g_path_get_basename(path);
  g_autofree char* text    = qf_sentence_dup(error->text);
  g_autofree char* message = g_strdup_printf("“%s” could not be exported. %s", base, text);
  qf_window_notice(self, message);
}

static gboolean
progress_tick_cb(gpointer data)
{
  QfWindow* const self = data;

  if (!self->running_export) {
    g_object_unref(self);
    return G_SOURCE_REMOVE;
  }

  gtk_progress_bar_set_fraction(self->progress_bar, qf_export_get_progress(self->running_export));
  return G_SOURCE_CONTINUE;
}

void
qf_window_exported_cb(const char* const path, const QfError* const error, gpointer data)
{
  QfWindow* const  self    = data;
  g_autofree char* base    = g_path_get_basename(path);
  g_autofree char* remarks = g_strdup(qf_export_get_remarks(self->running_export));

  g_clear_pointer(&self->running_export, qf_export_free);
  gtk_revealer_set_reveal_child(self->progress, FALSE);
  qf_window_set_enabled(self, "export", TRUE);
  qf_window_set_enabled(self, "export-worksheet", TRUE);
  qf_window_set_enabled(self, "record", TRUE);
  if (remarks) {
    g_autofree char* text = qf_sentence_dup(remarks);
    qf_window_notice(self, text);
  }
  if (!error) {
    g_autofree char* text = g_strdup_printf("Exported %s", base);
    qf_window_toast(self, text);
  } else if (error->status == QF_ERR_CANCELLED) {
    qf_window_toast(self, "The export was cancelled; what it had begun was not written");
  } else {
    qf_window_show_export_error(self, path, error);
  }
}

void
qf_window_show_export(QfWindow* const self, const char* const path)
{
  g_autofree char* base = g_path_get_basename(path);
  g_autofree char* text = g_strdup_printf("Exporting %s", base);

  gtk_label_set_text(self->progress_text, text);
  gtk_progress_bar_set_fraction(self->progress_bar, 0.0);
  gtk_revealer_set_reveal_child(self->progress, TRUE);
  qf_window_set_enabled(self, "export", FALSE);
  qf_window_set_enabled(self, "export-worksheet", FALSE);
  qf_window_set_enabled(self, "record", FALSE);
  g_timeout_add(PROGRESS_INTERVAL_MS, progress_tick_cb, g_object_ref(self));
}

static void
export_to(QfWindow* const self, const char* const path, const QfSheetKind sheet)
{
  QfLesson* const  lesson    = qf_lesson_item_get_lesson(self->item);
  QfExportOptions  options   = qf_export_options(lesson);
  QfError          error     = {0};
  g_autofree char* soundfont = qf_preferences_dup_soundfont(self->preferences);

  options.sound.soundfont = soundfont;
  options.sound.tuning    = qf_preferences_get_tuning(self->preferences);
  options.sheet           = sheet;
  options.rows            = page_rows(qf_preferences_get_view(self->preferences).rows);
  options.hearing         = qf_hearing_bar_get_hearing(self->hearing);
  options.sound.level_db  = options.hearing.level_db;
  self->running_export =
    qf_export_start(lesson, path, options, qf_window_exported_cb, self, &error);
  if (!self->running_export) {
    qf_window_show_export_error(self, path, &error);
    return;
  }

  qf_window_show_export(self, path);
}

static void
response_cb(GtkNativeDialog* const dialog, const int response, QfWindow* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file       = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char*  path      = g_file_get_path(file);
    const char* const ending    = g_object_get_data(G_OBJECT(dialog), "ending");
    const gboolean is_worksheet = GPOINTER_TO_INT(g_object_get_data(G_OBJECT(dialog), "worksheet"));
    if (qf_file_kind_of_path(path) == QF_FILE_UNKNOWN) {
      char* const whole = g_strdup_printf("%s.%s", path, ending);
      g_free(path);
      path = whole;
    }
    export_to(self, path, is_worksheet ? QF_SHEET_STUDENT : QF_SHEET_ANSWERS);
  }

  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

/// Ask where to, and export
static void
ask(QfWindow* const self, const char* const ending, const gboolean is_worksheet)
{
  g_autofree char* title = qf_lesson_item_dup_title(self->item);
  g_autofree char* name  = NULL;

  g_strdelimit(title, "/\\", '-');
  name = g_strdup_printf("%s%s.%s", title, is_worksheet ? " worksheet" : "", ending);
  qf_window_flush_hearing(self);
  GtkFileChooserNative* const dialog =
    gtk_file_chooser_native_new(is_worksheet ? "Student’s Worksheet" : "Export", GTK_WINDOW(self),
                                GTK_FILE_CHOOSER_ACTION_SAVE, "_Export", "_Cancel");
  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(dialog), TRUE);
  gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(dialog), name);
  g_object_set_data_full(G_OBJECT(dialog), "ending", g_strdup(ending), g_free);
  g_object_set_data(G_OBJECT(dialog), "worksheet", GINT_TO_POINTER(is_worksheet));
  g_signal_connect(dialog, "response", G_CALLBACK(response_cb), self);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

static void
export_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  ask(data, g_variant_get_string(parameter, NULL), FALSE);
}

static void
worksheet_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  ask(data, "pdf", TRUE);
}

static void
cancel_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  if (self->running_export) {
    qf_export_cancel(self->running_export);
  }
}

void
qf_window_add_export_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "export", .activate = export_cb, .parameter_type = "s"},
    {.name = "export-worksheet", .activate = worksheet_cb},
    {.name = "cancel-export", .activate = cancel_cb},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
