// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "writing/qf-harmonise-dialog.h"

static void
hear_cb(QfWindow* const self, const QfScore* const score)
{
  qf_window_sound_score(self, score);
}

static void
closed_cb(QfWindow* const self)
{
  qf_window_stop(self);
}

static void
harmonise_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;
  QfHarmoniseTask task = {
    .start   = QF_TIME_ZERO,
    .end     = qf_score_get_end(qf_lesson_item_get_score(self->item)),
    .profile = qf_preferences_get_profile(self->preferences),
  };

  (void)action;
  (void)parameter;
  qf_window_get_selection(self, &task.start, &task.end);
  task.key = qf_window_key_at(self, task.start);

  GtkWidget* const dialog = qf_harmonise_dialog_new(GTK_WINDOW(self), self->item, task);
  g_signal_connect_object(dialog, "hear", G_CALLBACK(hear_cb), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(dialog, "close-request", G_CALLBACK(closed_cb), self, G_CONNECT_SWAPPED);
  gtk_window_present(GTK_WINDOW(dialog));
}

void
qf_window_add_harmonise_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "harmonise", .activate = harmonise_cb},
  };
  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
}
