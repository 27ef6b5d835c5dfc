// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "hearing/qf-plan-dialog.h"
#include "hearing/qf-sound-dialog.h"
#include "lesson/qf-new-dialog.h"
#include "lesson/qf-properties-dialog.h"

void
qf_window_show_new_dialog(QfWindow* const self)
{
  gtk_window_present(GTK_WINDOW(qf_new_dialog_new(GTK_WINDOW(self), self->item)));
}

void
qf_window_show_properties(QfWindow* const self)
{
  gtk_window_present(GTK_WINDOW(qf_properties_dialog_new(GTK_WINDOW(self), self->item)));
}

void
qf_window_show_plan_dialog(QfWindow* const self)
{
  QfPlanDialog* const dialog = qf_plan_dialog_new(GTK_WINDOW(self), self->item, self->preferences);

  g_signal_connect_object(dialog, "hear", G_CALLBACK(qf_window_hear_plan), self, G_CONNECT_SWAPPED);
  g_signal_connect_object(dialog, "unmap", G_CALLBACK(qf_window_end_hear_plan), self,
                          G_CONNECT_SWAPPED);
  gtk_window_present(GTK_WINDOW(dialog));
}

void
qf_window_show_sound_dialog(QfWindow* const self)
{
  gtk_window_present(GTK_WINDOW(qf_sound_dialog_new(GTK_WINDOW(self), self->preferences)));
}
