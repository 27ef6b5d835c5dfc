// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "common/qf-message.h"
#include "lesson/qf-journal.h"

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
      qf_window_show_open_error(self, "recovered lesson", &error);
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
  qf_message_present(ADW_MESSAGE_DIALOG(dialog));
}
