// SPDX-License-Identifier: MIT
#include "qf-step-private.h"

char*
qf_step_dup_audio(const QfStepEditor* const self)
{
  const char* const audio = gtk_editable_get_text(self->audio);

  if (!audio[0]) {
    return NULL;
  }
  return self->folder && !g_path_is_absolute(audio) ? g_build_filename(self->folder, audio, NULL)
                                                    : g_strdup(audio);
}

static void
audio_chosen_cb(GtkNativeDialog* const dialog, const int response, QfStepEditor* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file      = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char* path      = g_file_get_path(file);
    g_autofree char* parent    = g_path_get_dirname(path);
    g_autofree char* base      = g_path_get_basename(path);
    const gboolean   is_beside = self->folder && g_str_equal(parent, self->folder);
    gtk_editable_set_text(self->audio, is_beside ? base : path);
  }
  g_clear_object(&self->chooser);
}

void
qf_step_choose_audio(QfStepEditor* const self)
{
  GtkRoot* const   root   = gtk_widget_get_root(GTK_WIDGET(self));
  GtkWindow* const parent = GTK_WINDOW(root);

  self->chooser = gtk_file_chooser_native_new("Choose an Audio File", parent,
                                              GTK_FILE_CHOOSER_ACTION_OPEN, "_Choose", "_Cancel");
  g_signal_connect(self->chooser, "response", G_CALLBACK(audio_chosen_cb), self);
  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(self->chooser), TRUE);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(self->chooser));
}
