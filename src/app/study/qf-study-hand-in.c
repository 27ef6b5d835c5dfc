// SPDX-License-Identifier: MIT
// Who writes the answer, and the copy that is handed in.
#include "qf-study-private.h"

static QfAnswer*
answer_of(const QfStudyWindow* const self)
{
  return qf_answer_item_get_answer(self->item);
}

static void
student_response_cb(AdwMessageDialog* const dialog,
                    const char* const       response,
                    QfStudyWindow* const    self)
{
  GtkEditable* const name  = g_object_get_data(G_OBJECT(dialog), "name");
  GtkEditable* const mark  = g_object_get_data(G_OBJECT(dialog), "mark");
  QfError            error = {0};

  if (g_str_equal(response, "set")) {
    qf_answer_item_finish(self->item,
                          qf_answer_set_student(answer_of(self), gtk_editable_get_text(name),
                                                gtk_editable_get_text(mark), &error),
                          &error);
  }
}

static GtkWidget*
new_row(GtkListBox* const list, const char* const title, const char* const text)
{
  GtkWidget* const row = adw_entry_row_new();

  adw_preferences_row_set_title(ADW_PREFERENCES_ROW(row), title);
  gtk_editable_set_text(GTK_EDITABLE(row), text);
  gtk_list_box_append(list, row);
  return row;
}

static void
student_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const self   = data;
  GtkWidget* const     dialog = adw_message_dialog_new(
        GTK_WINDOW(self), "Who writes this?", "The name stands in the file that is handed in.");
  GtkWidget* const list = gtk_list_box_new();

  (void)action;
  (void)parameter;
  gtk_list_box_set_selection_mode(GTK_LIST_BOX(list), GTK_SELECTION_NONE);
  gtk_widget_add_css_class(list, "boxed-list");
  g_object_set_data(G_OBJECT(dialog), "name",
                    new_row(GTK_LIST_BOX(list), "Name", qf_answer_get_student(answer_of(self))));
  g_object_set_data(G_OBJECT(dialog), "mark",
                    new_row(GTK_LIST_BOX(list), "Number, if there is one",
                            qf_answer_get_student_id(answer_of(self))));
  adw_message_dialog_set_extra_child(ADW_MESSAGE_DIALOG(dialog), list);
  adw_message_dialog_add_responses(ADW_MESSAGE_DIALOG(dialog), "cancel", "_Cancel", "set", "_Set",
                                   NULL);
  adw_message_dialog_set_default_response(ADW_MESSAGE_DIALOG(dialog), "set");
  g_signal_connect_object(dialog, "response", G_CALLBACK(student_response_cb), self, 0);
  gtk_window_present(GTK_WINDOW(dialog));
}

static void
hand_in_response_cb(GtkNativeDialog* const dialog, const int response, QfStudyWindow* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file  = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char* path  = g_file_get_path(file);
    QfError          error = {0};
    // A copy: what is kept for the student is written as ever.
    if (qf_answer_write_journal(answer_of(self), path, &error)) {
      qf_study_toast(self, error.text);
    } else {
      qf_study_toast(self, "The copy to hand in is written");
    }
  }
  gtk_native_dialog_destroy(dialog);
  g_object_unref(dialog);
}

static void
hand_in_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfStudyWindow* const        self   = data;
  GtkFileChooserNative* const dialog = gtk_file_chooser_native_new(
    "Save a Copy to Hand In", GTK_WINDOW(self), GTK_FILE_CHOOSER_ACTION_SAVE, "_Save", "_Cancel");
  g_autofree char* name = g_path_get_basename(qf_answer_item_get_path(self->item));

  (void)action;
  (void)parameter;
  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(dialog), TRUE);
  gtk_file_chooser_set_current_name(GTK_FILE_CHOOSER(dialog), name);
  g_signal_connect_object(dialog, "response", G_CALLBACK(hand_in_response_cb), self, 0);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(dialog));
}

void
qf_study_add_hand_in_actions(QfStudyWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "student", .activate = student_cb},
    {.name = "hand-in", .activate = hand_in_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
