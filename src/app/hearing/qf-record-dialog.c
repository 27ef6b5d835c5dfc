// SPDX-License-Identifier: MIT
#include "qf-record-dialog.h"

#include "qf-app.h"

struct _QfRecordDialog {
  AdwWindow            parent_instance;
  GtkWidget*           record; ///< Template child, as all widgets below
  AdwPreferencesGroup* group;
  AdwComboRow*         format;
  GtkSwitch*           split;
  GtkSwitch*           midi;
  GtkSpinButton*       loudness;
  QfAudioKind          kinds[QF_AUDIO_N_KINDS]; ///< Those that can be written, as in the list
};

G_DEFINE_FINAL_TYPE(QfRecordDialog, qf_record_dialog, ADW_TYPE_WINDOW)

enum { WANTED, N_SIGNALS };
static guint signals[N_SIGNALS];

QfAudioKind
qf_record_dialog_get_kind(const QfRecordDialog* const self)
{
  const guint choice = adw_combo_row_get_selected(self->format);
  return choice < QF_AUDIO_N_KINDS ? self->kinds[choice] : QF_AUDIO_WAV;
}

gboolean
qf_record_dialog_is_split(const QfRecordDialog* const self)
{
  return gtk_switch_get_active(self->split);
}

gboolean
qf_record_dialog_has_midi(const QfRecordDialog* const self)
{
  return gtk_switch_get_active(self->midi);
}

double
qf_record_dialog_get_loudness(const QfRecordDialog* const self)
{
  return gtk_spin_button_get_value(self->loudness);
}

static void
record_cb(QfRecordDialog* const self)
{
  gtk_widget_set_visible(GTK_WIDGET(self), FALSE);
  g_signal_emit(self, signals[WANTED], 0);
}

static void
fill_formats(QfRecordDialog* const self)
{
  g_autoptr(GtkStringList) names = gtk_string_list_new(NULL);
  guint n                        = 0;
  guint chosen                   = 0;
  for (int kind = 0; kind < QF_AUDIO_N_KINDS; ++kind) {
    if (qf_audio_kind_can_write((QfAudioKind)kind)) {
      chosen           = kind == QF_AUDIO_FLAC ? n : chosen;
      self->kinds[n++] = (QfAudioKind)kind;
      gtk_string_list_append(names, qf_audio_kind_name((QfAudioKind)kind));
    }
  }
  adw_combo_row_set_model(self->format, G_LIST_MODEL(names));
  adw_combo_row_set_selected(self->format, chosen);
}

static void
qf_record_dialog_class_init(QfRecordDialogClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-record-dialog.ui");
  gtk_widget_class_bind_template_child(widget_class, QfRecordDialog, record);
  gtk_widget_class_bind_template_child(widget_class, QfRecordDialog, group);
  gtk_widget_class_bind_template_child(widget_class, QfRecordDialog, format);
  gtk_widget_class_bind_template_child(widget_class, QfRecordDialog, split);
  gtk_widget_class_bind_template_child(widget_class, QfRecordDialog, midi);
  gtk_widget_class_bind_template_child(widget_class, QfRecordDialog, loudness);
  gtk_widget_class_bind_template_callback(widget_class, record_cb);

  signals[WANTED] = g_signal_new("wanted", QF_TYPE_RECORD_DIALOG, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 0);
}

static void
qf_record_dialog_init(QfRecordDialog* const self)
{
  gtk_widget_init_template(GTK_WIDGET(self));
  gtk_window_set_default_widget(GTK_WINDOW(self), self->record);
  fill_formats(self);
}

QfRecordDialog*
qf_record_dialog_new(GtkWindow* const parent, const char* const words)
{
  QfRecordDialog* const self = g_object_new(QF_TYPE_RECORD_DIALOG, "transient-for", parent, NULL);
  adw_preferences_group_set_title(self->group, words);
  return self;
}
