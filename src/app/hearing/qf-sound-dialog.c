// SPDX-License-Identifier: MIT
#include "qf-sound-dialog.h"

#include "common/qf-message.h"
#include "qf-app.h"
#include "qf-hearing-care.h"

#include "quintfall/sound.h"

#include <stdlib.h>

struct _QfSoundDialog {
  AdwWindow             parent_instance;
  AdwActionRow*         soundfont; ///< Template child, as all widgets below
  GtkWidget*            reset;
  AdwComboRow*          driver;
  AdwComboRow*          tuning;
  GtkSpinButton*        a4;
  GtkLabel*             care;
  QfPreferences*        preferences; ///< Owned reference
  GtkFileChooserNative* chooser;     ///< Owned, while it is open
  char**                drivers;     ///< Owned, by free(): those there are, NULL at the end
  gboolean              is_filling;
};

G_DEFINE_FINAL_TYPE(QfSoundDialog, qf_sound_dialog, ADW_TYPE_WINDOW)

static void
show_soundfont(QfSoundDialog* const self)
{
  g_autofree char* own  = qf_preferences_dup_soundfont(self->preferences);
  QfError          none = {0};
  char* const      used = own ? NULL : qf_sound_find_soundfont(&none);
  g_autofree char* why  = own || used ? NULL : qf_sentence_dup(none.text);
  g_autofree char* base = own || used ? g_path_get_basename(own ? own : used) : NULL;

  adw_action_row_set_subtitle(self->soundfont, base ? base : why);
  gtk_widget_set_sensitive(self->reset, own != NULL);
  free(used);
}

/// Name of a driver for a person
static const char*
driver_title(const char* const driver)
{
  static const char* const titles[][2] = {
    {"pipewire", "PipeWire"}, {"pulseaudio", "PulseAudio"}, {"alsa", "ALSA"}, {"jack", "JACK"}};
  for (gsize i = 0; i < G_N_ELEMENTS(titles); ++i) {
    if (g_str_equal(driver, titles[i][0])) {
      return titles[i][1];
    }
  }
  return driver;
}

/// List the drivers there are, the first that works before them
static void
fill_drivers(QfSoundDialog* const self)
{
  g_autofree char* chosen         = qf_preferences_dup_driver(self->preferences);
  g_autoptr(GtkStringList) titles = gtk_string_list_new(NULL);
  guint row                       = 0;

  self->drivers = qf_sound_list_drivers();
  gtk_string_list_append(titles, "Automatic");
  for (guint i = 0; self->drivers && self->drivers[i]; ++i) {
    gtk_string_list_append(titles, driver_title(self->drivers[i]));
    row = g_strcmp0(chosen, self->drivers[i]) ? row : i + 1U;
  }
  adw_combo_row_set_model(self->driver, G_LIST_MODEL(titles));
  adw_combo_row_set_selected(self->driver, row);
}

static void
driver_cb(QfSoundDialog* const self)
{
  const guint row = adw_combo_row_get_selected(self->driver);
  if (!self->is_filling && row != GTK_INVALID_LIST_POSITION) {
    qf_preferences_set_driver(self->preferences, row ? self->drivers[row - 1U] : NULL);
  }
}

static void
tuning_cb(QfSoundDialog* const self)
{
  if (!self->is_filling) {
    QfTuning tuning = qf_preferences_get_tuning(self->preferences);
    tuning.kind =
      (QfTuningKind)MIN(adw_combo_row_get_selected(self->tuning), QF_TUNING_N_KINDS - 1U);
    tuning.a4_hz = gtk_spin_button_get_value(self->a4);
    qf_preferences_set_tuning(self->preferences, tuning);
  }
}

static void
reset_cb(QfSoundDialog* const self)
{
  qf_preferences_set_soundfont(self->preferences, NULL);
  show_soundfont(self);
}

/// Take a file if it is a SoundFont, or say why not
static void
take_soundfont(QfSoundDialog* const self, const char* const path)
{
  QfInstrument* instruments   = NULL;
  size_t        n_instruments = 0;
  QfError       error         = {0};
  if (qf_sound_list_instruments(path, &instruments, &n_instruments, &error)) {
    g_autofree char* text = qf_sentence_dup(error.text);
    adw_action_row_set_subtitle(self->soundfont, text);
    return;
  }
  free(instruments);
  qf_preferences_set_soundfont(self->preferences, path);
  show_soundfont(self);
}

static void
chosen_cb(GtkNativeDialog* const dialog, const int response, QfSoundDialog* const self)
{
  if (response == GTK_RESPONSE_ACCEPT) {
    g_autoptr(GFile) file = gtk_file_chooser_get_file(GTK_FILE_CHOOSER(dialog));
    g_autofree char* path = g_file_get_path(file);
    take_soundfont(self, path);
  }
  g_clear_object(&self->chooser);
}

static void
choose_cb(QfSoundDialog* const self)
{
  g_autoptr(GtkFileFilter) filter = gtk_file_filter_new();
  gtk_file_filter_set_name(filter, "SoundFonts");
  gtk_file_filter_add_suffix(filter, "sf2");
  gtk_file_filter_add_suffix(filter, "sf3");

  self->chooser = gtk_file_chooser_native_new("Choose a SoundFont", GTK_WINDOW(self),
                                              GTK_FILE_CHOOSER_ACTION_OPEN, "_Choose", "_Cancel");
  gtk_file_chooser_add_filter(GTK_FILE_CHOOSER(self->chooser), filter);
  g_signal_connect(self->chooser, "response", G_CALLBACK(chosen_cb), self);
  gtk_native_dialog_set_modal(GTK_NATIVE_DIALOG(self->chooser), TRUE);
  gtk_native_dialog_show(GTK_NATIVE_DIALOG(self->chooser));
}

static void
qf_sound_dialog_dispose(GObject* const object)
{
  QfSoundDialog* const self = QF_SOUND_DIALOG(object);

  self->is_filling = TRUE;
  g_clear_object(&self->chooser);
  G_OBJECT_CLASS(qf_sound_dialog_parent_class)->dispose(object);
  g_clear_pointer(&self->drivers, free);
  g_clear_object(&self->preferences);
}

static void
qf_sound_dialog_class_init(QfSoundDialogClass* const klass)
{
  GtkWidgetClass* const widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_sound_dialog_dispose;
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-sound-dialog.ui");
  gtk_widget_class_bind_template_child(widget_class, QfSoundDialog, soundfont);
  gtk_widget_class_bind_template_child(widget_class, QfSoundDialog, reset);
  gtk_widget_class_bind_template_child(widget_class, QfSoundDialog, driver);
  gtk_widget_class_bind_template_child(widget_class, QfSoundDialog, tuning);
  gtk_widget_class_bind_template_child(widget_class, QfSoundDialog, a4);
  gtk_widget_class_bind_template_child(widget_class, QfSoundDialog, care);
  gtk_widget_class_bind_template_callback(widget_class, driver_cb);
  gtk_widget_class_bind_template_callback(widget_class, tuning_cb);
  gtk_widget_class_bind_template_callback(widget_class, choose_cb);
  gtk_widget_class_bind_template_callback(widget_class, reset_cb);
}

static void
qf_sound_dialog_init(QfSoundDialog* const self)
{
  self->is_filling = TRUE;
  gtk_widget_init_template(GTK_WIDGET(self));
  gtk_label_set_text(self->care, qf_hearing_care_long());
}

QfSoundDialog*
qf_sound_dialog_new(GtkWindow* const parent, QfPreferences* const preferences)
{
  QfSoundDialog* const self   = g_object_new(QF_TYPE_SOUND_DIALOG, "transient-for", parent, NULL);
  const QfTuning       tuning = qf_preferences_get_tuning(preferences);

  self->preferences = g_object_ref(preferences);
  adw_combo_row_set_selected(self->tuning, tuning.kind);
  gtk_spin_button_set_value(self->a4, qf_tuning_a4(tuning));
  show_soundfont(self);
  fill_drivers(self);
  self->is_filling = FALSE;
  return self;
}
