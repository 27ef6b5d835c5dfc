// SPDX-License-Identifier: MIT
#include "qf-practice-window.h"

#include "qf-drill-window.h"
#include "qf-practice-chart.h"
#include "qf-record.h"

#include "common/qf-keys.h"
#include "common/qf-message.h"

#include <stdlib.h>

enum {
  MAX_DUE = 12, ///< More would be no advice
};

/// The window's widgets; freed with the window
typedef struct {
  GtkWindow*       window;
  AdwToastOverlay* toasts;
  GtkListBox*      due;
  GtkListBox*      concepts;
  GtkLabel*        heading;
  GtkDropDown*     period;
  QfPracticeChart* chart;
  QfPreferences*   preferences; ///< Owned reference
  QfPractice*      practice;    ///< Owned
  char* concept;                ///< Charted, or NULL for all
} Window;

static void
window_free(Window* const self)
{
  qf_practice_free(self->practice);
  g_object_unref(self->preferences);
  g_free(self->concept);
  g_free(self);
}

static void
show_chart(Window* const self)
{
  const QfPeriod period = gtk_drop_down_get_selected(self->period) ? QF_PERIOD_DAY : QF_PERIOD_WEEK;
  QfPracticeSeries series                     = {0};
  QfError          error                      = {0};
  char             name[QF_CONCEPT_NAME_SIZE] = "everything";

  if (qf_practice_series(self->practice, self->concept, period, &series, &error)) {
    qf_message_toast(self->toasts, error.text);
    return;
  }
  if (self->concept) {
    qf_concept_describe(self->concept, name, sizeof(name));
  }
  g_autofree char* heading = g_strdup_printf("Right answers, %s", name);
  gtk_label_set_text(self->heading, heading);
  qf_practice_chart_show(self->chart, &series);
  qf_practice_series_clear(&series);
}

static void
empty_list(GtkListBox* const list)
{
  for (GtkWidget* row = NULL; (row = gtk_widget_get_first_child(GTK_WIDGET(list)));) {
    gtk_list_box_remove(list, row);
  }
}

/// A moment or a day as "9 March 2026" (transfer full)
static char*
day_dup(const int64_t when_s, const gboolean is_local)
{
  g_autoptr(GDateTime) then =
    is_local ? g_date_time_new_from_unix_local(when_s) : g_date_time_new_from_unix_utc(when_s);
  return then ? g_date_time_format(then, "%-d %B %Y") : g_strdup("some day");
}

/// Why it is due: what the scheme makes of the last answers (transfer full)
static char*
reason_dup(const QfConceptRecord* const record)
{
  enum { SECONDS_A_DAY = 86400 };

  const int        days = record->recall.interval_days;
  g_autofree char* last = day_dup(record->last_s, TRUE);
  g_autofree char* due  = day_dup(record->due_day * SECONDS_A_DAY, FALSE);

  if (!record->recall.repetitions) {
    return g_strdup_printf("not remembered on %s, so it begins anew: due since %s", last, due);
  }
  return g_strdup_printf("remembered %d time%s in a row, last on %s, so asked after %d day%s: due "
                         "since %s",
                         record->recall.repetitions, record->recall.repetitions == 1 ? "" : "s",
                         last, days, days == 1 ? "" : "s", due);
}

static GtkWidget*
new_row(const QfConceptRecord* const record, const char* const reason)
{
  GtkWidget* const row = adw_action_row_new();
  char             name[QF_CONCEPT_NAME_SIZE];

  qf_concept_describe(record->concept, name, sizeof(name));
  name[0]                 = g_ascii_toupper(name[0]);
  g_autofree char* markup = g_markup_escape_text(name, -1);
  const double percent = record->asked ? 100.0 * (double)record->right / (double)record->asked : 0;
  g_autofree char* subtitle =
    g_strdup_printf("%d of %d right (%.0f %%)%s%s", (int)record->right, (int)record->asked, percent,
                    reason ? "; " : "", reason ? reason : "");
  adw_preferences_row_set_title(ADW_PREFERENCES_ROW(row), markup);
  adw_action_row_set_subtitle(ADW_ACTION_ROW(row), subtitle);
  g_object_set_data_full(G_OBJECT(row), "concept", g_strdup(record->concept), g_free);
  return row;
}

static void
practise_cb(GtkButton* const button, Window* const self)
{
  QfDrillKind kind = QF_DRILL_QUALITY;

  const char* const concept = g_object_get_data(G_OBJECT(button), "concept");

  if (qf_drill_for_concept(concept, &kind)) {
    qf_drill_window_present(gtk_window_get_application(self->window), self->window,
                            self->preferences, kind, concept);
  }
}

static void
add_due(Window* const self, const QfConceptRecord* const record)
{
  g_autofree char* reason = reason_dup(record);
  GtkWidget* const row    = new_row(record, reason);
  QfDrillKind      kind   = QF_DRILL_QUALITY;

  if (qf_drill_for_concept(record->concept, &kind)) {
    GtkWidget* const button = gtk_button_new_with_label("Practise");
    gtk_widget_set_valign(button, GTK_ALIGN_CENTER);
    g_object_set_data_full(G_OBJECT(button), "concept", g_strdup(record->concept), g_free);
    g_signal_connect(button, "clicked", G_CALLBACK(practise_cb), self);
    adw_action_row_add_suffix(ADW_ACTION_ROW(row), button);
  }
  gtk_list_box_append(self->due, row);
}

static void
add_placeholder(GtkListBox* const list, const char* const text)
{
  GtkWidget* const row = adw_action_row_new();
  adw_preferences_row_set_title(ADW_PREFERENCES_ROW(row), text);
  gtk_list_box_append(list, row);
}

static void
show_record(Window* const self)
{
  QfConceptRecords due   = {0};
  QfConceptRecords all   = {0};
  QfError          error = {0};

  empty_list(self->due);
  empty_list(self->concepts);
  if (qf_practice_due(self->practice, qf_record_now(), &due, &error) ||
      qf_practice_list(self->practice, &all, &error)) {
    qf_message_toast(self->toasts, error.text);
  }
  for (size_t i = 0; i < due.n_records && i < MAX_DUE; ++i) {
    add_due(self, &due.records[i]);
  }
  for (size_t i = 0; i < all.n_records; ++i) {
    GtkWidget* const row = new_row(&all.records[i], NULL);
    gtk_list_box_row_set_activatable(GTK_LIST_BOX_ROW(row), TRUE);
    gtk_list_box_append(self->concepts, row);
  }
  if (!due.n_records) {
    add_placeholder(self->due, all.n_records ? "Nothing is due today" : "Nothing practised yet");
  }
  if (!all.n_records) {
    add_placeholder(self->concepts, "Drills and graded dictations are recorded here");
  }
  qf_concept_records_clear(&due);
  qf_concept_records_clear(&all);
  show_chart(self);
}

static void
concept_cb(Window* const self, GtkListBoxRow* const row)
{
  const char* const concept = g_object_get_data(G_OBJECT(row), "concept");

  if (concept) {
    g_free(self->concept);
    self->concept = g_strdup(concept);
    show_chart(self);
  }
}

static void
everything_cb(Window* const self)
{
  g_clear_pointer(&self->concept, g_free);
  show_chart(self);
}

// ---- export and delete

static void
export_cb(GtkNativeDialog* const dialog, const int response, Window* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file       = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char*       path = g_file_get_path(file);
    const QfPracticeFormat format =
      g_str_has_suffix(path, ".json") ? QF_PRACTICE_JSON : QF_PRACTICE_CSV;
    char*   text              = NULL;
    QfError error             = {0};
    g_autoptr(GError) problem = NULL;

    if (qf_practice_export(self->practice, format, &text, &error)) {
      qf_message_toast(self->toasts, error.text);
    } else if (!g_file_set_contents(path, text, -1, &problem)) {
      qf_message_toast(self->toasts, problem->message);
    } else {
      qf_message_toast(self->toasts, "The record is written");
    }
    free(text);
  }
  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static void
ask_export_cb(Window* const self)
{
  GtkFileChooserNative* const dialog = gtk_file_chooser_native_new(
    "Export the Practice Record", self->window, GTK_FILE_CHOOSER_ACTION_SAVE, "_Export", "_Cancel");

  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(dialog), TRUE);
  gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(dialog), "practice.csv");
  g_signal_connect(dialog, "response", G_CALLBACK(export_cb), self);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

static void
delete_cb(AdwMessageDialog* const dialog, const char* const response, Window* const self)
{
  QfError error = {0};

  (void)dialog;
  if (g_str_equal(response, "delete")) {
    if (qf_practice_delete_all(self->practice, &error)) {
      qf_message_toast(self->toasts, error.text);
    }
    everything_cb(self);
    show_record(self);
  }
}

static void
ask_delete_cb(Window* const self)
{
  GtkWidget* const dialog =
    adw_message_dialog_new(self->window, "Delete the whole practice record?",
                           "What was right and wrong is forgotten for good. An export made before "
                           "can be kept.");

  adw_message_dialog_add_responses(ADW_MESSAGE_DIALOG(dialog), "cancel", "_Cancel", "delete",
                                   "_Delete", NULL);
  adw_message_dialog_set_response_appearance(ADW_MESSAGE_DIALOG(dialog), "delete",
                                             ADW_RESPONSE_DESTRUCTIVE);
  adw_message_dialog_set_close_response(ADW_MESSAGE_DIALOG(dialog), "cancel");
  g_signal_connect(dialog, "response", G_CALLBACK(delete_cb), self);
  qf_message_present(ADW_MESSAGE_DIALOG(dialog));
}

// ---- widgets

static GtkListBox*
new_list(GtkBox* const box, const char* const title, const char* const text)
{
  GtkWidget* const group = adw_preferences_group_new();
  GtkWidget* const list  = gtk_list_box_new();

  adw_preferences_group_set_title(ADW_PREFERENCES_GROUP(group), title);
  adw_preferences_group_set_description(ADW_PREFERENCES_GROUP(group), text);
  gtk_list_box_set_selection_mode(GTK_LIST_BOX(list), GTK_SELECTION_NONE);
  gtk_widget_add_css_class(list, "boxed-list");
  gtk_accessible_update_property(GTK_ACCESSIBLE(list), GTK_ACCESSIBLE_PROPERTY_LABEL, title, -1);
  adw_preferences_group_add(ADW_PREFERENCES_GROUP(group), list);
  gtk_box_append(box, group);
  return GTK_LIST_BOX(list);
}

static void
add_chart(Window* const self, GtkBox* const box)
{
  static const char* const periods[] = {"By week", "By day", NULL};
  GtkWidget* const         head      = gtk_box_new(GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget* const         all       = gtk_button_new_with_mnemonic("E_verything");

  self->heading = GTK_LABEL(gtk_label_new(NULL));
  self->period  = GTK_DROP_DOWN(gtk_drop_down_new_from_strings(periods));
  self->chart   = g_object_new(QF_TYPE_PRACTICE_CHART, NULL);
  gtk_widget_add_css_class(GTK_WIDGET(self->heading), "heading");
  gtk_label_set_xalign(self->heading, 0.0F);
  gtk_label_set_wrap(self->heading, TRUE);
  gtk_widget_set_hexpand(GTK_WIDGET(self->heading), TRUE);
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->period), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 "Columns of the chart", -1);
  gtk_box_append(GTK_BOX(head), GTK_WIDGET(self->heading));
  gtk_box_append(GTK_BOX(head), all);
  gtk_box_append(GTK_BOX(head), GTK_WIDGET(self->period));
  gtk_box_append(box, head);
  gtk_box_append(box, GTK_WIDGET(self->chart));
  g_signal_connect_swapped(all, "clicked", G_CALLBACK(everything_cb), self);
  g_signal_connect_swapped(self->period, "notify::selected", G_CALLBACK(show_chart), self);
}

static GtkWidget*
new_content(Window* const self)
{
  GtkWidget* const content = gtk_box_new(GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget* const header  = adw_header_bar_new();
  GtkWidget* const write   = gtk_button_new_with_mnemonic("_Export…");
  GtkWidget* const erase   = gtk_button_new_with_mnemonic("_Delete…");
  GtkWidget* const scroll  = gtk_scrolled_window_new();
  GtkWidget* const clamp   = adw_clamp_new();
  GtkWidget* const body    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 18);

  gtk_widget_set_margin_top(body, 18);
  gtk_widget_set_margin_bottom(body, 18);
  gtk_widget_set_margin_start(body, 12);
  gtk_widget_set_margin_end(body, 12);
  adw_header_bar_pack_start(ADW_HEADER_BAR(header), write);
  adw_header_bar_pack_end(ADW_HEADER_BAR(header), erase);
  self->due = new_list(GTK_BOX(body), "To practise next", qf_recall_scheme_text());
  add_chart(self, GTK_BOX(body));
  self->concepts =
    new_list(GTK_BOX(body), "By concept", "Kept on this machine only. A row shows its own chart.");
  self->toasts = ADW_TOAST_OVERLAY(adw_toast_overlay_new());
  adw_clamp_set_child(ADW_CLAMP(clamp), body);
  gtk_scrolled_window_set_child(GTK_SCROLLED_WINDOW(scroll), clamp);
  adw_toast_overlay_set_child(self->toasts, scroll);
  gtk_widget_set_vexpand(GTK_WIDGET(self->toasts), TRUE);
  gtk_box_append(GTK_BOX(content), header);
  gtk_box_append(GTK_BOX(content), GTK_WIDGET(self->toasts));
  g_signal_connect_swapped(write, "clicked", G_CALLBACK(ask_export_cb), self);
  g_signal_connect_swapped(erase, "clicked", G_CALLBACK(ask_delete_cb), self);
  g_signal_connect_swapped(self->concepts, "row-activated", G_CALLBACK(concept_cb), self);
  return content;
}

/// Coming back from a drill there is more to show
static void
active_cb(Window* const self)
{
  if (gtk_window_is_active(self->window)) {
    show_record(self);
  }
}

void
qf_practice_window_present(GtkApplication* const application,
                           GtkWindow* const      parent,
                           QfPreferences* const  preferences)
{
  char*             remark   = NULL;
  QfError           error    = {0};
  QfPractice* const practice = qf_record_open(&remark, &error);
  GtkWidget* const  window =
    practice ? adw_window_new()
              : adw_message_dialog_new(parent, "The practice record cannot be opened", error.text);

  if (!practice) {
    adw_message_dialog_add_response(ADW_MESSAGE_DIALOG(window), "close", "_Close");
    qf_message_present(ADW_MESSAGE_DIALOG(window));
    return;
  }

  Window* const self = g_new0(Window, 1);
  self->window       = GTK_WINDOW(window);
  self->preferences  = g_object_ref(preferences);
  self->practice     = practice;
  adw_window_set_content(ADW_WINDOW(window), new_content(self));
  gtk_window_set_title(self->window, "Practice Record");
  gtk_window_set_transient_for(self->window, parent);
  gtk_window_set_application(self->window, application);
  gtk_window_set_default_size(self->window, 640, 720);
  g_object_set_data_full(G_OBJECT(window), "practice", self, (GDestroyNotify)window_free);
  g_signal_connect_swapped(window, "notify::is-active", G_CALLBACK(active_cb), self);
  show_record(self);
  if (remark) {
    qf_message_toast(self->toasts, remark);
    g_free(remark);
  }
  qf_keys_close_by_escape(window);
  qf_name_buttons(GTK_WIDGET(self->window));
  gtk_window_present(self->window);
}
