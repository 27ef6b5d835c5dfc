// SPDX-License-Identifier: MIT
#include "qf-grades-window.h"

#include "qf-grades-class.h"
#include "qf-grades-table.h"
#include "qf-study-window.h"

#include "common/qf-keys.h"
#include "common/qf-message.h"

#include "quintfall/file.h"
#include "quintfall/results.h"

#include <stdlib.h>
#include <string.h>

/// The window's widgets and results; freed with the window
typedef struct {
  GtkWindow*       window;
  AdwToastOverlay* toasts;
  QfGradesTable*   table; ///< Owned
  QfGradesClass* class;   ///< Owned
  GtkLabel*       sum;
  GtkProgressBar* progress;
  GtkWidget*      save_csv;
  GtkWidget*      save_pdfs;
  QfPreferences*  preferences; ///< Owned reference
  QfLesson*       lesson;      ///< Owned
  QfResults       results;
  GPtrArray*      waiting; ///< Paths still to be graded
  guint           idle;
} Grades;

static const char solution_choice[] = "solution"; ///< Of the dialog for comments

static void
grades_free(Grades* const self)
{
  g_clear_handle_id(&self->idle, g_source_remove);
  g_ptr_array_unref(self->waiting);
  qf_grades_table_free(self->table);
  qf_grades_class_free(self->class);
  qf_results_clear(&self->results);
  qf_lesson_free(self->lesson);
  g_object_unref(self->preferences);
  g_free(self);
}

/// What all answers come to, once there is something to say
static void
show_sum(Grades* const self)
{
  const size_t n       = self->results.n_items;
  char* const  summary = qf_results_summary(&self->results);

  gtk_label_set_text(self->sum, n && summary
                                  ? summary
                                  : "Add the answers that came back: files, or a whole folder.");
  free(summary);
  gtk_widget_set_sensitive(self->save_csv, n > 0);
  gtk_widget_set_sensitive(self->save_pdfs, n > 0);
  qf_grades_table_update(self->table);
  qf_grades_class_update(self->class);
}

// ---- grading, one answer between two frames

static void
grade_path(Grades* const self, const char* const path)
{
  const QfNamingKind naming = qf_preferences_get_view(self->preferences).naming;
  QfError            error  = {0};

  for (size_t i = 0; i < self->results.n_items; ++i) {
    if (g_str_equal(self->results.items[i].path, path)) {
      return; // It is in the table already.
    }
  }
  if (qf_results_add(&self->results, self->lesson, path, 0, NULL, naming, &error)) {
    qf_grades_class_add_fault(self->class, path, error.text);
  } else {
    qf_grades_table_add_last(self->table);
  }
}

static gboolean
grade_next_cb(gpointer data)
{
  Grades* const self = data;

  if (!self->waiting->len) {
    self->idle = 0;
    gtk_widget_set_visible(GTK_WIDGET(self->progress), FALSE);
    show_sum(self);
    return G_SOURCE_REMOVE;
  }

  g_autofree char* path = g_ptr_array_steal_index(self->waiting, 0);
  grade_path(self, path);
  gtk_progress_bar_set_fraction(self->progress,
                                (double)self->results.n_items /
                                  (double)(self->results.n_items + self->waiting->len));
  return G_SOURCE_CONTINUE;
}

static void
grade_waiting(Grades* const self)
{
  gtk_widget_set_visible(GTK_WIDGET(self->progress), self->waiting->len > 1);
  if (!self->idle) {
    self->idle = g_idle_add(grade_next_cb, self);
  }
}

static int
compare_paths(gconstpointer a, gconstpointer b)
{
  return strcmp(*(const char* const*)a, *(const char* const*)b);
}

/// All answers of a folder, in the order of their names
static void
add_folder(Grades* const self, const char* const folder)
{
  g_autoptr(GDir) directory  = g_dir_open(folder, 0, NULL);
  g_autoptr(GPtrArray) paths = g_ptr_array_new();

  for (const char* name = NULL; directory && (name = g_dir_read_name(directory));) {
    char* const path = g_build_filename(folder, name, NULL);
    if (name[0] != '.' && qf_results_takes_file(path)) {
      g_ptr_array_add(paths, path);
    } else {
      g_free(path);
    }
  }
  if (!paths->len) {
    qf_message_toast(self->toasts, "There are no answers in this folder");
  }
  g_ptr_array_sort(paths, compare_paths);
  for (guint i = 0; i < paths->len; ++i) {
    g_ptr_array_add(self->waiting, g_ptr_array_index(paths, i));
  }
}

static void
chosen_cb(GtkNativeDialog* const dialog, const int response, Grades* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GListModel) files = gtk_file_chooser_get_files(GTK_FILE_CHOOSER(dialog));
    for (guint i = 0; i < g_list_model_get_n_items(files); ++i) {
      g_autoptr(GFile) file = g_list_model_get_item(files, i);
      char* const path      = g_file_get_path(file);
      if (g_file_test(path, G_FILE_TEST_IS_DIR)) {
        add_folder(self, path);
        g_free(path);
      } else {
        g_ptr_array_add(self->waiting, path);
      }
    }
    grade_waiting(self);
  }
  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static GtkFileChooser*
new_chooser(Grades* const self, const char* const title, const GtkFileChooserAction action)
{
  const bool                  is_save = action == GTK_FILE_CHOOSER_ACTION_SAVE;
  GtkFileChooserNative* const dialog  = gtk_file_chooser_native_new(
     title, self->window, action, is_save ? "_Save" : "_Choose", "_Cancel");

  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(dialog), TRUE);
  gtk_file_chooser_set_select_multiple(GTK_FILE_CHOOSER(dialog),
                                       action == GTK_FILE_CHOOSER_ACTION_OPEN);
  return GTK_FILE_CHOOSER(dialog);
}

static void
show_chooser(Grades* const self, GtkFileChooser* const chooser, const GCallback callback)
{
  g_signal_connect(chooser, "response", callback, self);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(chooser));
}

static void
add_files_cb(Grades* const self)
{
  show_chooser(self, new_chooser(self, "Answers to Grade", GTK_FILE_CHOOSER_ACTION_OPEN),
               G_CALLBACK(chosen_cb));
}

static void
add_folder_cb(Grades* const self)
{
  show_chooser(self, new_chooser(self, "Folder of Answers", GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER),
               G_CALLBACK(chosen_cb));
}

// ---- what goes out

static void
csv_cb(GtkNativeDialog* const dialog, const int response, Grades* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file  = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char* path  = g_file_get_path(file);
    char* const      text  = qf_results_csv(&self->results);
    QfError          error = {.text = "out of memory"};
    qf_message_toast(self->toasts, text && !qf_file_write(path, text, strlen(text), &error)
                                     ? "The table is written"
                                     : error.text);
    free(text);
  }
  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static void
pdfs_cb(GtkNativeDialog* const dialog, const int response, Grades* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    GtkFileChooser* const chooser = GTK_FILE_CHOOSER(dialog);
    g_autoptr(GFile) file         = gtk_file_chooser_get_file(chooser);
    g_autofree char*     path     = g_file_get_path(file);
    const char* const    choice   = gtk_file_chooser_get_choice(chooser, solution_choice);
    const QfCommentsKind kind =
      g_strcmp0(choice, "false") == 0 ? QF_COMMENTS_UNSOLVED : QF_COMMENTS_SOLVED;
    QfError error = {0};
    qf_message_toast(self->toasts,
                     qf_results_write_pdfs(&self->results, self->lesson, kind, path, &error)
                       ? error.text
                       : "The comments are written");
  }
  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static void
save_csv_cb(Grades* const self)
{
  GtkFileChooser* const chooser = new_chooser(self, "Save the Table", GTK_FILE_CHOOSER_ACTION_SAVE);

  gtk_file_chooser_set_current_name(chooser, "grades.csv");
  show_chooser(self, chooser, G_CALLBACK(csv_cb));
}

static void
save_pdfs_cb(Grades* const self)
{
  GtkFileChooser* const chooser =
    new_chooser(self, "Folder for the Comments", GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER);

  gtk_file_chooser_add_choice(chooser, solution_choice, "Show the solution", NULL, NULL);
  gtk_file_chooser_set_choice(chooser, solution_choice, "true");
  show_chooser(self, chooser, G_CALLBACK(pdfs_cb));
}

/// Open an answer beside its result
static void
open_cb(const QfResult* const result, const gpointer data)
{
  Grades* const self   = data;
  QfAnswer*     answer = NULL;
  QfError       error  = {0};

  if (qf_answer_load(result->path, &answer, &error)) {
    qf_message_toast(self->toasts, error.text);
    return;
  }

  g_autoptr(QfAnswerItem) item = qf_answer_item_new(answer, result->path, &error);
  if (!item) {
    qf_message_toast(self->toasts, error.text);
    return;
  }
  QfStudyWindow* const window =
    qf_study_window_new(gtk_window_get_application(self->window), self->preferences, item);
  qf_study_window_review(window);
  gtk_window_present(GTK_WINDOW(window));
}

// ---- widgets

static GtkWidget*
new_button(GtkWidget* const  header,
           const char* const label,
           const bool        is_start,
           Grades* const     self,
           const GCallback   callback)
{
  GtkWidget* const button = gtk_button_new_with_mnemonic(label);

  if (is_start) {
    adw_header_bar_pack_start(ADW_HEADER_BAR(header), button);
  } else {
    adw_header_bar_pack_end(ADW_HEADER_BAR(header), button);
  }
  g_signal_connect_swapped(button, "clicked", callback, self);
  return button;
}

static GtkWidget*
new_header(Grades* const self)
{
  GtkWidget* const header = adw_header_bar_new();

  new_button(header, "_Add Answers…", true, self, G_CALLBACK(add_files_cb));
  new_button(header, "Add a _Folder…", true, self, G_CALLBACK(add_folder_cb));
  self->save_pdfs = new_button(header, "_Comments…", false, self, G_CALLBACK(save_pdfs_cb));
  self->save_csv  = new_button(header, "_Table…", false, self, G_CALLBACK(save_csv_cb));
  gtk_widget_set_tooltip_text(self->save_pdfs, "One PDF of comments a student");
  gtk_widget_set_tooltip_text(self->save_csv, "All results as CSV");
  return header;
}

static GtkWidget*
new_foot(Grades* const self)
{
  GtkWidget* const foot = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 12);

  self->sum      = GTK_LABEL(gtk_label_new(NULL));
  self->progress = GTK_PROGRESS_BAR(gtk_progress_bar_new());
  gtk_widget_add_css_class(foot, "qf-findings-foot");
  gtk_widget_set_hexpand(GTK_WIDGET(self->progress), TRUE);
  gtk_widget_set_valign(GTK_WIDGET(self->progress), GTK_ALIGN_CENTER);
  gtk_widget_set_visible(GTK_WIDGET(self->progress), FALSE);
  gtk_label_set_wrap(self->sum, TRUE);
  gtk_box_append(GTK_BOX(foot), GTK_WIDGET(self->sum));
  gtk_box_append(GTK_BOX(foot), GTK_WIDGET(self->progress));
  return foot;
}

static GtkWidget*
new_content(Grades* const self)
{
  GtkWidget* const content = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);

  self->toasts = ADW_TOAST_OVERLAY(adw_toast_overlay_new());
  self->table  = qf_grades_table_new(&self->results, open_cb, self);
  self->class  = qf_grades_class_new(&self->results);
  adw_toast_overlay_set_child(self->toasts, qf_grades_table_get_widget(self->table));
  gtk_box_append(GTK_BOX(content), new_header(self));
  gtk_box_append(GTK_BOX(content), GTK_WIDGET(self->toasts));
  gtk_box_append(GTK_BOX(content), qf_grades_class_get_widget(self->class));
  gtk_box_append(GTK_BOX(content), new_foot(self));
  return content;
}

void
qf_grades_window_present(GtkApplication* const application,
                         GtkWindow* const      parent,
                         QfPreferences* const  preferences,
                         QfLesson* const       lesson)
{
  Grades* const    self   = g_new0(Grades, 1);
  GtkWidget* const window = adw_window_new();
  const char*      title  = qf_score_get_title(qf_lesson_get_score(lesson));

  self->window               = GTK_WINDOW(window);
  self->preferences          = g_object_ref(preferences);
  self->lesson               = lesson;
  self->waiting              = g_ptr_array_new_with_free_func(g_free);
  self->results.pass_percent = qf_lesson_get_rubric(lesson)->pass_percent;
  adw_window_set_content(ADW_WINDOW(window), new_content(self));
  g_autofree char* heading = g_strdup_printf("Grades: %s", title && title[0] ? title : "lesson");
  gtk_window_set_title(self->window, heading);
  gtk_window_set_application(self->window, application);
  gtk_window_set_transient_for(self->window, parent);
  gtk_window_set_default_size(self->window, 1000, 660);
  g_object_set_data_full(G_OBJECT(window), "grades", self, (GDestroyNotify)grades_free);
  show_sum(self);
  qf_keys_close_by_escape(window);
  qf_name_buttons(window);
  gtk_window_present(self->window);
}
