// SPDX-License-Identifier: MIT
#include "qf-grades-window.h"

#include "qf-study-window.h"

#include "common/qf-message.h"

#include "quintfall/results.h"

#include <stdlib.h>

/// The window's widgets and results; freed with the window
typedef struct {
  GtkWindow*       window;
  AdwToastOverlay* toasts;
  GtkColumnView*   table;
  GtkStringList*   rows; ///< Index of each result as text, for the table's model
  GtkLabel*        sum;
  GtkProgressBar*  progress;
  GtkWidget*       save_csv;
  GtkWidget*       save_pdfs;
  QfPreferences*   preferences; ///< Owned reference
  QfLesson*        lesson;      ///< Owned
  QfResults        results;
  GPtrArray*       waiting; ///< Paths still to be graded
  guint            idle;
} Grades;

/// Columns before those of the layers
enum { COLUMN_STUDENT, COLUMN_POINTS, COLUMN_PERCENT, COLUMN_GRADE, COLUMN_LAYERS };

static void
grades_free(Grades* const self)
{
  g_clear_handle_id(&self->idle, g_source_remove);
  g_ptr_array_unref(self->waiting);
  qf_results_clear(&self->results);
  qf_lesson_free(self->lesson);
  g_object_unref(self->preferences);
  g_object_unref(self->rows);
  g_free(self);
}

static const QfResult*
result_of(const Grades* const self, GtkStringObject* const row)
{
  const guint64 index = g_ascii_strtoull(gtk_string_object_get_string(row), NULL, 10);
  return index < self->results.n_items ? &self->results.items[index] : NULL;
}

/// What a cell says (transfer full)
static char*
cell_text(const Grades* const self, const QfResult* const result, const int column)
{
  switch (column) {
    case COLUMN_STUDENT:
      return g_strdup(qf_result_name(result));
    case COLUMN_POINTS:
      return g_strdup_printf("%.4g of %.4g", qf_grade_get_points(result->grade),
                             qf_grade_get_possible(result->grade));
    case COLUMN_PERCENT:
      return g_strdup_printf("%.0f %%", qf_grade_get_percent(result->grade));
    case COLUMN_GRADE:
      return g_strdup_printf("%s%s", qf_grade_get_text(result->grade),
                             qf_result_has_passed(&self->results, result) ? "" : " (not passed)");
    default:
      break;
  }

  const QfLayer layer = (QfLayer)(column - COLUMN_LAYERS);
  return qf_grade_has_layer(result->grade, layer)
           ? g_strdup_printf("%.4g of %.4g", qf_grade_get_layer_points(result->grade, layer),
                             qf_grade_get_layer_possible(result->grade, layer))
           : g_strdup("\u2013");
}

static void
setup_cb(GtkSignalListItemFactory* const factory, GtkListItem* const item, gpointer data)
{
  GtkWidget* const label = gtk_label_new(NULL);

  (void)factory;
  (void)data;
  gtk_label_set_xalign(GTK_LABEL(label), 0.0F);
  gtk_label_set_ellipsize(GTK_LABEL(label), PANGO_ELLIPSIZE_END);
  gtk_list_item_set_child(item, label);
}

static void
bind_cb(GtkSignalListItemFactory* const factory, GtkListItem* const item, Grades* const self)
{
  const int             column = GPOINTER_TO_INT(g_object_get_data(G_OBJECT(factory), "column"));
  const QfResult* const result = result_of(self, gtk_list_item_get_item(item));

  if (result) {
    g_autofree char* text = cell_text(self, result, column);
    gtk_label_set_text(GTK_LABEL(gtk_list_item_get_child(item)), text);
  }
}

static int
compare_results(const Grades* const   self,
                const QfResult* const a,
                const QfResult* const b,
                const int             column)
{
  if (column == COLUMN_STUDENT) {
    return g_utf8_collate(qf_result_name(a), qf_result_name(b));
  }
  if (column == COLUMN_GRADE) {
    return (int)qf_result_has_passed(&self->results, a) - qf_result_has_passed(&self->results, b);
  }

  const bool    is_layer = column >= COLUMN_LAYERS;
  const QfLayer layer    = (QfLayer)(is_layer ? column - COLUMN_LAYERS : 0);
  const double  left =
    is_layer ? qf_grade_get_layer_points(a->grade, layer) : qf_grade_get_percent(a->grade);
  const double right =
    is_layer ? qf_grade_get_layer_points(b->grade, layer) : qf_grade_get_percent(b->grade);
  return left < right ? -1 : left > right;
}

/// A sorter's place: the window and the column
typedef struct {
  Grades* grades;
  int     column;
} Place;

static int
compare_cb(GtkStringObject* const a, GtkStringObject* const b, const Place* const place)
{
  const QfResult* const left  = result_of(place->grades, a);
  const QfResult* const right = result_of(place->grades, b);
  return left && right ? compare_results(place->grades, left, right, place->column) : 0;
}

static void
add_column(Grades* const self, const char* const title, const int column)
{
  GtkListItemFactory* const  factory = gtk_signal_list_item_factory_new();
  GtkColumnViewColumn* const view    = gtk_column_view_column_new(title, factory);
  Place* const               place   = g_new(Place, 1);

  *place = (Place){self, column};
  g_object_set_data(G_OBJECT(factory), "column", GINT_TO_POINTER(column));
  g_signal_connect(factory, "setup", G_CALLBACK(setup_cb), NULL);
  g_signal_connect(factory, "bind", G_CALLBACK(bind_cb), self);
  gtk_column_view_column_set_resizable(view, TRUE);
  gtk_column_view_column_set_expand(view, column == COLUMN_STUDENT);
  GtkSorter* const sorter =
    GTK_SORTER(gtk_custom_sorter_new((GCompareDataFunc)compare_cb, place, g_free));
  gtk_column_view_column_set_sorter(view, sorter);
  g_object_unref(sorter);
  gtk_column_view_append_column(self->table, view);
  g_object_unref(view);
}

/// Mean and passes, once there is something to say
static void
show_sum(Grades* const self)
{
  double sum      = 0.0;
  size_t n_passed = 0;

  for (size_t i = 0; i < self->results.n_items; ++i) {
    sum += qf_grade_get_percent(self->results.items[i].grade);
    n_passed += qf_result_has_passed(&self->results, &self->results.items[i]);
  }

  const size_t     n    = self->results.n_items;
  g_autofree char* text = n ? g_strdup_printf("%zu answers \u2022 %zu passed \u2022 mean %.0f %%",
                                              n, n_passed, sum / (double)n)
                            : g_strdup("Add the answers that came back: files, or a whole folder.");
  gtk_label_set_text(self->sum, text);
  gtk_widget_set_sensitive(self->save_csv, n > 0);
  gtk_widget_set_sensitive(self->save_pdfs, n > 0);
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
    g_autofree char* base = g_path_get_basename(path);
    g_autofree char* text = g_strdup_printf("%s: %s", base, error.text);
    qf_message_toast(self->toasts, text);
    return;
  }

  g_autofree char* index = g_strdup_printf("%zu", self->results.n_items - 1);
  gtk_string_list_append(self->rows, index);
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

static bool
is_answer(const char* const path)
{
  g_autofree char* text   = NULL;
  gsize            length = 0;
  return g_file_get_contents(path, &text, &length, NULL) && qf_answer_is_answer(text, length);
}

static void
add_folder(Grades* const self, const char* const folder)
{
  g_autoptr(GDir) directory = g_dir_open(folder, 0, NULL);
  const guint before        = self->waiting->len;

  for (const char* name = NULL; directory && (name = g_dir_read_name(directory));) {
    g_autofree char* path = g_build_filename(folder, name, NULL);
    if (g_str_has_suffix(name, ".json") && is_answer(path)) {
      g_ptr_array_add(self->waiting, g_steal_pointer(&path));
    }
  }
  if (self->waiting->len == before) {
    qf_message_toast(self->toasts, "There are no answers in this folder");
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

static void
choose(Grades* const              self,
       const char* const          title,
       const GtkFileChooserAction action,
       const GCallback            callback,
       const char* const          name)
{
  const bool                  is_save = action == GTK_FILE_CHOOSER_ACTION_SAVE;
  GtkFileChooserNative* const dialog  = gtk_file_chooser_native_new(
     title, self->window, action, is_save ? "_Save" : "_Choose", "_Cancel");

  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(dialog), TRUE);
  if (is_save) {
    gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(dialog), name);
  }
  gtk_file_chooser_set_select_multiple(GTK_FILE_CHOOSER(dialog),
                                       action == GTK_FILE_CHOOSER_ACTION_OPEN);
  g_signal_connect(dialog, "response", callback, self);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

static void
add_files_cb(Grades* const self)
{
  choose(self, "Answers to Grade", GTK_FILE_CHOOSER_ACTION_OPEN, G_CALLBACK(chosen_cb), NULL);
}

static void
add_folder_cb(Grades* const self)
{
  choose(self, "Folder of Answers", GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER, G_CALLBACK(chosen_cb),
         NULL);
}

// ---- what goes out

static void
csv_cb(GtkNativeDialog* const dialog, const int response, Grades* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file     = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char* path     = g_file_get_path(file);
    char* const      text     = qf_results_csv(&self->results);
    g_autoptr(GError) problem = NULL;
    if (text && g_file_set_contents(path, text, -1, &problem)) {
      qf_message_toast(self->toasts, "The table is written");
    } else {
      qf_message_toast(self->toasts, problem ? problem->message : "Out of memory");
    }
    free(text);
  }
  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static void
pdfs_cb(GtkNativeDialog* const dialog, const int response, Grades* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file  = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char* path  = g_file_get_path(file);
    QfError          error = {0};
    qf_message_toast(self->toasts, qf_results_write_pdfs(&self->results, path, &error)
                                     ? error.text
                                     : "The comments are written");
  }
  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static void
save_csv_cb(Grades* const self)
{
  choose(self, "Save the Table", GTK_FILE_CHOOSER_ACTION_SAVE, G_CALLBACK(csv_cb), "grades.csv");
}

static void
save_pdfs_cb(Grades* const self)
{
  choose(self, "Folder for the Comments", GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER,
         G_CALLBACK(pdfs_cb), NULL);
}

/// Open an answer beside its result
static void
activated_cb(Grades* const self, const guint position)
{
  GListModel* const model        = G_LIST_MODEL(gtk_column_view_get_model(self->table));
  g_autoptr(GtkStringObject) row = g_list_model_get_item(model, position);
  const QfResult* const result   = row ? result_of(self, row) : NULL;
  QfAnswer*             answer   = NULL;
  QfError               error    = {0};

  if (!result) {
    return;
  }
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
new_table(Grades* const self)
{
  GtkWidget* const scroll = gtk_scrolled_window_new();

  self->rows  = gtk_string_list_new(NULL);
  self->table = GTK_COLUMN_VIEW(gtk_column_view_new(NULL));
  add_column(self, "Student", COLUMN_STUDENT);
  add_column(self, "Points", COLUMN_POINTS);
  add_column(self, "Percent", COLUMN_PERCENT);
  add_column(self, "Grade", COLUMN_GRADE);
  for (QfLayer layer = 0; layer < QF_LAYER_N_KINDS; ++layer) {
    g_autofree char* name = g_strdup(qf_layer_name(layer));
    name[0]               = g_ascii_toupper(name[0]);
    add_column(self, name, COLUMN_LAYERS + (int)layer);
  }

  GtkSortListModel* const sorted = gtk_sort_list_model_new(
    g_object_ref(G_LIST_MODEL(self->rows)), g_object_ref(gtk_column_view_get_sorter(self->table)));
  GtkSingleSelection* const selection = gtk_single_selection_new(G_LIST_MODEL(sorted));
  gtk_column_view_set_model(self->table, GTK_SELECTION_MODEL(selection));
  g_object_unref(selection);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->table), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 "Graded answers", -1);
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scroll), GTK_WIDGET(self->table));
  gtk_widget_set_vexpand(scroll, TRUE);
  g_signal_connect_swapped(self->table, "activate", G_CALLBACK(activated_cb), self);
  return scroll;
}

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
new_content(Grades* const self)
{
  GtkWidget* const content = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget* const header  = adw_header_bar_new();
  GtkWidget* const foot    = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 12);

  self->toasts   = ADW_TOAST_OVERLAY(adw_toast_overlay_new());
  self->sum      = GTK_LABEL(gtk_label_new(NULL));
  self->progress = GTK_PROGRESS_BAR(gtk_progress_bar_new());
  new_button(header, "_Add Answers…", true, self, G_CALLBACK(add_files_cb));
  new_button(header, "Add a _Folder…", true, self, G_CALLBACK(add_folder_cb));
  self->save_pdfs = new_button(header, "_Comments…", false, self, G_CALLBACK(save_pdfs_cb));
  self->save_csv  = new_button(header, "_Table…", false, self, G_CALLBACK(save_csv_cb));
  gtk_widget_set_tooltip_text(self->save_pdfs, "One PDF of comments a student");
  gtk_widget_set_tooltip_text(self->save_csv, "All results as CSV");
  gtk_widget_add_css_class(foot, "qf-findings-foot");
  gtk_widget_set_hexpand(GTK_WIDGET(self->progress), TRUE);
  gtk_widget_set_valign(GTK_WIDGET(self->progress), GTK_ALIGN_CENTER);
  gtk_widget_set_visible(GTK_WIDGET(self->progress), FALSE);
  gtk_label_set_wrap(self->sum, TRUE);
  gtk_box_append(GTK_BOX(foot), GTK_WIDGET(self->sum));
  gtk_box_append(GTK_BOX(foot), GTK_WIDGET(self->progress));
  adw_toast_overlay_set_child(self->toasts, new_table(self));
  gtk_box_append(GTK_BOX(content), header);
  gtk_box_append(GTK_BOX(content), GTK_WIDGET(self->toasts));
  gtk_box_append(GTK_BOX(content), foot);
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
  gtk_window_set_default_size(self->window, 980, 560);
  g_object_set_data_full(G_OBJECT(window), "grades", self, (GDestroyNotify)grades_free);
  show_sum(self);
  gtk_window_present(self->window);
}
