// SPDX-License-Identifier: MIT
#include "qf-levels-panel.h"

#include "common/qf-rows.h"
#include "qf-instruments.h"

struct _QfLevelsPanel {
  AdwBin         parent_instance;
  GtkSpinButton* softening; ///< Owned by the panel, as all widgets below
  GtkSpinButton* gain;
  GtkSpinButton* lead;
  AdwComboRow*   program;
  AdwComboRow*   forward_program;
  GtkSwitch*     spread;
  QfInstruments* instruments; ///< Owned; NULL until they are first shown
  char*          soundfont;
  int            programs[2]; ///< Of all, and of what is forward, as last shown or read
  gboolean       is_filling;
};

G_DEFINE_FINAL_TYPE(QfLevelsPanel, qf_levels_panel, ADW_TYPE_BIN)

enum { CHANGED, N_SIGNALS };
static guint signals[N_SIGNALS];

static void
show_programs(QfLevelsPanel* const self)
{
  if (self->instruments) {
    qf_instruments_show(self->instruments, self->program, self->programs[0]);
    qf_instruments_show(self->instruments, self->forward_program, self->programs[1]);
  }
}

void
qf_levels_panel_set_soundfont(QfLevelsPanel* const self, const char* const path)
{
  if (g_strcmp0(self->soundfont, path)) {
    g_free(self->soundfont);
    self->soundfont = g_strdup(path);
    g_clear_pointer(&self->instruments, qf_instruments_free);
  }
}

/// Read the instruments when they are first looked at: a SoundFont may be large
static void
map_cb(QfLevelsPanel* const self)
{
  if (!self->instruments) {
    self->is_filling  = TRUE;
    self->instruments = qf_instruments_new(self->soundfont);
    qf_instruments_offer(self->instruments, self->program, "Grand piano");
    qf_instruments_offer(self->instruments, self->forward_program, "As the others");
    show_programs(self);
    self->is_filling = FALSE;
  }
}

void
qf_levels_panel_show(QfLevelsPanel* const self, const QfHearing hearing)
{
  self->is_filling  = TRUE;
  self->programs[0] = hearing.program;
  self->programs[1] = hearing.forward_program;
  gtk_spin_button_set_value(self->softening, hearing.softening_db);
  gtk_spin_button_set_value(self->gain, hearing.forward_gain_db);
  gtk_spin_button_set_value(self->lead, hearing.lead_ms);
  gtk_switch_set_active(self->spread, hearing.is_spread);
  show_programs(self);
  self->is_filling = FALSE;
}

QfHearing
qf_levels_panel_read(const QfLevelsPanel* const self, const QfHearing hearing)
{
  QfHearing result       = hearing;
  result.softening_db    = gtk_spin_button_get_value(self->softening);
  result.forward_gain_db = gtk_spin_button_get_value(self->gain);
  result.lead_ms         = gtk_spin_button_get_value(self->lead);
  result.is_spread       = gtk_switch_get_active(self->spread);
  result.program         = self->programs[0];
  result.forward_program = self->programs[1];
  return result;
}

static void
edited_cb(QfLevelsPanel* const self)
{
  if (self->is_filling) {
    return;
  }
  if (self->instruments) {
    const int program = qf_instruments_read(self->instruments, self->program, self->programs[0]);
    self->programs[0] = program == QF_PROGRAM_SAME ? 0 : program;
    self->programs[1] =
      qf_instruments_read(self->instruments, self->forward_program, self->programs[1]);
  }
  g_signal_emit(self, signals[CHANGED], 0);
}

static void
defaults_cb(QfLevelsPanel* const self)
{
  qf_levels_panel_show(self, qf_hearing_default());
  g_signal_emit(self, signals[CHANGED], 0);
}

static void
qf_levels_panel_finalize(GObject* const object)
{
  QfLevelsPanel* const self = QF_LEVELS_PANEL(object);

  g_clear_pointer(&self->instruments, qf_instruments_free);
  g_clear_pointer(&self->soundfont, g_free);
  G_OBJECT_CLASS(qf_levels_panel_parent_class)->finalize(object);
}

static void
qf_levels_panel_class_init(QfLevelsPanelClass* const klass)
{
  G_OBJECT_CLASS(klass)->finalize = qf_levels_panel_finalize;

  signals[CHANGED] = g_signal_new("changed", QF_TYPE_LEVELS_PANEL, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                  NULL, G_TYPE_NONE, 0);
}

static AdwComboRow*
add_instrument(AdwPreferencesGroup* const group, const char* const title)
{
  static const char* const none[] = {NULL};
  return qf_rows_add_choice(group, title, none, 0);
}

/// The ranges are those of qf_hearing_clamp()
static void
add_rows(QfLevelsPanel* const self, AdwPreferencesGroup* const group)
{
  const QfHearing usual = qf_hearing_default();

  self->softening =
    qf_rows_add_spin(group, "Others step back, dB", NULL, 9.0, 30.0, 1.0, usual.softening_db);
  self->gain =
    qf_rows_add_spin(group, "Forward gains, dB", NULL, 0.0, 9.0, 1.0, usual.forward_gain_db);
  self->lead = qf_rows_add_spin(group, "Forward leads, ms", "Begins so much before the others", 0.0,
                                80.0, 5.0, usual.lead_ms);
  self->program         = add_instrument(group, "Instrument");
  self->forward_program = add_instrument(group, "Forward instrument");
  self->spread =
    qf_rows_add_switch(group, "Spread chord qualities",
                       "Each chord as a block, and then from the bass up", usual.is_spread);
}

static void
qf_levels_panel_init(QfLevelsPanel* const self)
{
  AdwPreferencesGroup* const group  = ADW_PREFERENCES_GROUP(adw_preferences_group_new());
  GtkWidget* const           box    = gtk_box_new(GTK_ORIENTATION_VERTICAL, 12);
  GtkWidget* const           button = gtk_button_new_with_label("Back to the Defaults");
  const QfHearing            usual  = qf_hearing_default();

  self->is_filling  = TRUE;
  self->programs[0] = usual.program;
  self->programs[1] = usual.forward_program;
  add_rows(self, group);
  gtk_widget_set_halign(button, GTK_ALIGN_END);
  gtk_box_append(GTK_BOX(box), GTK_WIDGET(group));
  gtk_box_append(GTK_BOX(box), button);
  gtk_widget_set_size_request(box, 380, -1);
  adw_bin_set_child(ADW_BIN(self), box);

  GtkSpinButton* const spins[] = {self->softening, self->gain, self->lead};
  for (gsize i = 0; i < G_N_ELEMENTS(spins); ++i) {
    g_signal_connect_swapped(spins[i], "value-changed", G_CALLBACK(edited_cb), self);
  }
  g_signal_connect_swapped(self->spread, "notify::active", G_CALLBACK(edited_cb), self);
  g_signal_connect_swapped(self->program, "notify::selected", G_CALLBACK(edited_cb), self);
  g_signal_connect_swapped(self->forward_program, "notify::selected", G_CALLBACK(edited_cb), self);
  g_signal_connect_swapped(button, "clicked", G_CALLBACK(defaults_cb), self);
  g_signal_connect(self, "map", G_CALLBACK(map_cb), NULL);
  self->is_filling = FALSE;
}

QfLevelsPanel*
qf_levels_panel_new(void)
{
  return g_object_new(QF_TYPE_LEVELS_PANEL, NULL);
}
