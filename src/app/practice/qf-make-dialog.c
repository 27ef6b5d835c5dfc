// SPDX-License-Identifier: MIT
#include "qf-make-dialog.h"

#include "qf-difficulty-row.h"
#include "qf-make-form.h"
#include "qf-make-run.h"

#include "common/qf-keys.h"
#include "common/qf-message.h"

/// The dialog's widgets; freed with its window
typedef struct {
  GtkWindow*           window;
  AdwToastOverlay*     toasts;
  QfMakeForm*          form; ///< Owned
  QfMakeRun*           run;  ///< Owned
  AdwPreferencesGroup* last; ///< Tells how hard the one that was opened last is
  GtkWidget*           difficulty;
  GtkWidget*           write;
  QfMakeOpen           open;
  gpointer             data;

  QfWorkbookOptions options; ///< Of the set whose folder is being chosen
  char*             folder;  ///< Owned
} Dialog;

static void
dialog_free(Dialog* const self)
{
  qf_make_run_free(self->run);
  qf_make_form_free(self->form);
  g_free(self->folder);
  g_free(self);
}

// ---- one exercise

static void
show_difficulty(Dialog* const self, const QfDifficulty* const difficulty)
{
  if (self->difficulty) {
    adw_preferences_group_remove(self->last, self->difficulty);
  }
  self->difficulty = qf_difficulty_row_new(difficulty);
  adw_preferences_group_add(self->last, self->difficulty);
  gtk_widget_set_visible(GTK_WIDGET(self->last), TRUE);
}

static void
open_cb(Dialog* const self)
{
  QfExerciseOptions options  = {0};
  QfExercise        exercise = {0};
  QfError           error    = {0};

  if (qf_make_form_read(self->form, &options, &error) ||
      qf_exercise_make(&options, &exercise, &error)) {
    qf_message_toast(self->toasts, error.text);
    return;
  }

  QfLesson* const lesson = exercise.lesson;
  exercise.lesson        = NULL;
  show_difficulty(self, &exercise.difficulty);
  qf_exercise_clear(&exercise);
  // The next press makes another one.
  qf_make_form_next_seed(self->form);
  self->open(lesson, self->data);
}

// ---- a set

static void
start(Dialog* const self)
{
  gtk_widget_set_sensitive(self->write, FALSE);
  qf_make_run_start(self->run, &self->options, self->folder);
}

static void
ended_cb(const char* const words, const gpointer data)
{
  Dialog* const self = data;

  gtk_widget_set_sensitive(self->write, TRUE);
  qf_message_toast(self->toasts, words);
}

static void
replace_cb(AdwMessageDialog* const dialog, const char* const response, Dialog* const self)
{
  (void)dialog;
  if (g_str_equal(response, "replace")) {
    start(self);
  }
}

static void
ask_replace(Dialog* const self, const size_t n_files)
{
  g_autofree char* body = g_strdup_printf(
    "%zu of the files to be written %s in the folder already. Other files there stay as they are.",
    n_files, n_files == 1 ? "is" : "are");
  GtkWidget* const dialog = adw_message_dialog_new(self->window, "Replace exercises?", body);

  adw_message_dialog_add_responses(ADW_MESSAGE_DIALOG(dialog), "cancel", "_Cancel", "replace",
                                   "_Replace", NULL);
  adw_message_dialog_set_response_appearance(ADW_MESSAGE_DIALOG(dialog), "replace",
                                             ADW_RESPONSE_DESTRUCTIVE);
  adw_message_dialog_set_close_response(ADW_MESSAGE_DIALOG(dialog), "cancel");
  g_signal_connect(dialog, "response", G_CALLBACK(replace_cb), self);
  qf_message_present(ADW_MESSAGE_DIALOG(dialog));
}

static void
folder_cb(GtkNativeDialog* const dialog, const int response, Dialog* const self)
{
  if (response == GTK_RESPONSE_ACCEPT && !qf_make_run_is_busy(self->run)) {
    g_autoptr(GFile) file = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));

    g_free(self->folder);
    self->folder         = g_file_get_path(file);
    const size_t n_files = qf_workbook_count_existing(self->folder, &self->options);
    if (n_files) {
      ask_replace(self, n_files);
    } else {
      start(self);
    }
  }
  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static void
write_cb(Dialog* const self)
{
  QfError error = {0};

  if (qf_make_form_read_set(self->form, &self->options, &error)) {
    qf_message_toast(self->toasts, error.text);
    return;
  }

  GtkFileChooserNative* const dialog =
    gtk_file_chooser_native_new("Folder for the Exercises", self->window,
                                GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER, "_Write Here", "_Cancel");
  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(dialog), TRUE);
  g_signal_connect(dialog, "response", G_CALLBACK(folder_cb), self);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

// ---- widgets

static GtkWidget*
new_header(Dialog* const self)
{
  GtkWidget* const header = adw_header_bar_new();
  GtkWidget* const one    = gtk_button_new_with_mnemonic("_Open One");
  GtkWidget* const set    = gtk_button_new_with_mnemonic("_Write the Set…");

  self->write = set;
  gtk_widget_add_css_class(one, "suggested-action");
  gtk_widget_set_tooltip_text(one, "Make one exercise and open it as a lesson");
  gtk_widget_set_tooltip_text(set, "Lessons, sheets, answers and recordings in a folder");
  adw_header_bar_pack_start(ADW_HEADER_BAR(header), one);
  adw_header_bar_pack_end(ADW_HEADER_BAR(header), set);
  g_signal_connect_swapped(one, "clicked", G_CALLBACK(open_cb), self);
  g_signal_connect_swapped(set, "clicked", G_CALLBACK(write_cb), self);
  return header;
}

void
qf_make_dialog_present(GtkWindow* const parent, const QfMakeOpen open, const gpointer data)
{
  Dialog* const             self   = g_new0(Dialog, 1);
  GtkWidget* const          window = adw_window_new();
  GtkWidget* const          box    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  AdwPreferencesPage* const page   = ADW_PREFERENCES_PAGE(adw_preferences_page_new());

  self->window = GTK_WINDOW(window);
  self->toasts = ADW_TOAST_OVERLAY(adw_toast_overlay_new());
  self->open   = open;
  self->data   = data;
  self->last   = ADW_PREFERENCES_GROUP(adw_preferences_group_new());
  self->run    = qf_make_run_new(ended_cb, self);
  adw_preferences_group_set_title(self->last, "Opened last");
  gtk_widget_set_visible(GTK_WIDGET(self->last), FALSE);
  adw_preferences_page_add(page, self->last);
  self->form = qf_make_form_new(page);
  gtk_widget_set_vexpand(GTK_WIDGET(self->toasts), TRUE);
  adw_toast_overlay_set_child(self->toasts, GTK_WIDGET(page));
  gtk_box_append(GTK_BOX(box), new_header(self));
  gtk_box_append(GTK_BOX(box), GTK_WIDGET(self->toasts));
  gtk_box_append(GTK_BOX(box), qf_make_run_get_widget(self->run));
  adw_window_set_content(ADW_WINDOW(window), box);
  gtk_window_set_title(self->window, "Make Exercises");
  gtk_window_set_transient_for(self->window, parent);
  gtk_window_set_default_size(self->window, 620, 720);
  g_object_set_data_full(G_OBJECT(window), "dialog", self, (GDestroyNotify)dialog_free);
  qf_keys_close_by_escape(window);
  qf_name_buttons(window);
  gtk_window_present(self->window);
}
