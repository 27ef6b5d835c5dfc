// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "hearing/qf-record-dialog.h"

/// The plan to record: the lesson's own, or a plain one (transfer full)
static QfPlan*
dup_plan(const QfWindow* const self)
{
  const QfPlan* const own = qf_lesson_get_plan(qf_lesson_item_get_lesson(self->item));
  return own ? qf_plan_dup(own) : qf_ready_plan_new(0);
}

static void
record_to(QfWindow* const self, const QfRecordDialog* const dialog, const char* const path)
{
  QfLesson* const       lesson    = qf_lesson_item_get_lesson(self->item);
  QfPlan* const         plan      = dup_plan(self);
  const char* const     place     = qf_lesson_item_get_path(self->item);
  g_autofree char*      folder    = place ? g_path_get_dirname(place) : NULL;
  g_autofree char*      soundfont = qf_preferences_dup_soundfont(self->preferences);
  QfError               error     = {0};
  const QfRecordOptions options   = {
      .plan          = plan,
      .folder        = folder,
      .sound         = {.soundfont = soundfont,
                        .level_db  = qf_lesson_get_hearing(lesson).level_db,
                        .tuning    = qf_preferences_get_tuning(self->preferences)},
      .kind          = qf_record_dialog_get_kind(dialog),
      .loudness_lufs = qf_record_dialog_get_loudness(dialog),
      .has_midi      = qf_record_dialog_has_midi(dialog),
  };

  self->running_export = qf_export_start_recording(lesson, path, qf_record_dialog_is_split(dialog),
                                                   options, qf_window_exported_cb, self, &error);
  qf_plan_free(plan);
  if (self->running_export) {
    qf_window_show_export(self, path);
  } else {
    qf_window_show_export_error(self, path, &error);
  }
}

static void
chosen_cb(GtkNativeDialog* const chooser, const int response, QfWindow* const self)
{
  QfRecordDialog* const dialog = g_object_get_data(G_OBJECT(chooser), "dialog");

  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file    = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(chooser));
    g_autofree char*  path   = g_file_get_path(file);
    const char* const ending = qf_audio_kind_ending(qf_record_dialog_get_kind(dialog));
    if (!qf_record_dialog_is_split(dialog) && !g_str_has_suffix(path, ending)) {
      char* const whole = g_strconcat(path, ending, NULL);
      g_free(path);
      path = whole;
    }
    record_to(self, dialog, path);
  }

  gtk_native_dialog_destroy(chooser);
  g_object_unref(chooser);
  gtk_window_destroy(GTK_WINDOW(dialog));
}

/// Ask where the recordings go
static void
wanted_cb(QfRecordDialog* const dialog, QfWindow* const self)
{
  const gboolean              is_split = qf_record_dialog_is_split(dialog);
  GtkFileChooserNative* const chooser  = gtk_file_chooser_native_new(
     is_split ? "Folder for the Recordings" : "Record as", GTK_WINDOW(self),
    is_split ? GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER : GTK_FILE_CHOOSER_ACTION_SAVE, "_Record",
    "_Cancel");
  if (!is_split) {
    g_autofree char* title = qf_lesson_item_dup_title(self->item);
    g_autofree char* name =
      g_strconcat(title, qf_audio_kind_ending(qf_record_dialog_get_kind(dialog)), NULL);
    gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(chooser), name);
  }

  g_object_set_data(G_OBJECT(chooser), "dialog", dialog);
  g_signal_connect(chooser, "response", G_CALLBACK(chosen_cb), self);
  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(chooser), TRUE);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(chooser));
}

static void
record_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const  self  = data;
  QfPlan* const    plan  = dup_plan(self);
  g_autofree char* words = g_strdup_printf("%s, %zu hearings", plan ? qf_plan_get_name(plan) : "",
                                           plan ? qf_plan_n_hearings(plan) : 0U);

  (void)action;
  (void)parameter;
  qf_plan_free(plan);
  QfRecordDialog* const dialog = qf_record_dialog_new(GTK_WINDOW(self), words);
  g_signal_connect(dialog, "wanted", G_CALLBACK(wanted_cb), self);
  gtk_window_present(GTK_WINDOW(dialog));
}

static void
sound_preferences_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  (void)action;
  (void)parameter;
  qf_window_show_sound_dialog(data);
}

void
qf_window_add_record_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "record", .activate = record_cb},
    {.name = "sound-preferences", .activate = sound_preferences_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  g_signal_connect_swapped(self->preferences, "changed", G_CALLBACK(qf_window_retune), self);
}
