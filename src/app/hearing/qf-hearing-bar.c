// SPDX-License-Identifier: MIT
#include "qf-hearing-bar.h"

#include "qf-app.h"
#include "qf-levels-panel.h"

#include <math.h>

struct _QfHearingBar {
  GtkWidget        parent_instance;
  GtkWidget*       box; ///< Template child, as all widgets below
  GtkButton*       play;
  GtkDropDown*     forward;
  GtkSpinButton*   tempo;
  GtkSpinButton*   repeats;
  GtkSpinButton*   gap;
  GtkToggleButton* prelude;
  GtkToggleButton* count_in;
  GtkRange*        level;
  GtkLabel*        level_value;
  GtkPopover*      levels_popover;
  QfLevelsPanel*   levels;  ///< Owned by the popover
  QfHearing        hearing; ///< What the bar has no widget for is kept from here
  guint            n_voices;
  gboolean         is_filling; ///< True while the bar itself sets its widgets
};

G_DEFINE_FINAL_TYPE(QfHearingBar, qf_hearing_bar, GTK_TYPE_WIDGET)

enum { CHANGED, LEVEL_CHANGED, N_SIGNALS };
static guint signals[N_SIGNALS];

static guint
choice_of(const QfForward forward, const guint n_voices)
{
  switch (forward.kind) {
    case QF_FORWARD_VOICE:
      return MIN(forward.voice, n_voices) + 1U;
    case QF_FORWARD_QUALITY:
      return n_voices + 1U;
    case QF_FORWARD_ALL:
      break;
  }

  return 0;
}

static QfForward
forward_of(const guint choice, const guint n_voices)
{
  return choice == 0 || choice == GTK_INVALID_LIST_POSITION ? (QfForward){QF_FORWARD_ALL, 0}
         : choice <= n_voices ? (QfForward){QF_FORWARD_VOICE, (uint8_t)(choice - 1U)}
                              : (QfForward){QF_FORWARD_QUALITY, 0};
}

static void
fill_forward(QfHearingBar* const self, const QfScore* const score)
{
  GtkStringList* const names = gtk_string_list_new(NULL);

  gtk_string_list_append(names, "Balanced");
  for (guint v = 0; v < self->n_voices; ++v) {
    const char* const name = qf_score_get_voice(score, v)->name;
    if (name[0]) {
      gtk_string_list_append(names, name);
    } else {
      gtk_string_list_take(names, g_strdup_printf("Voice %u", v + 1U));
    }
  }

  gtk_string_list_append(names, "Chord quality");
  gtk_drop_down_set_model(self->forward, G_LIST_MODEL(names));
  g_object_unref(names);
}

void
qf_hearing_bar_set_hearing(QfHearingBar* const  self,
                           const QfHearing      hearing,
                           const QfScore* const score)
{
  self->is_filling = TRUE;
  self->hearing    = hearing;
  self->n_voices   = (guint)qf_score_n_voices(score);
  fill_forward(self, score);
  gtk_drop_down_set_selected(self->forward, choice_of(hearing.forward, self->n_voices));
  gtk_spin_button_set_value(self->tempo, round(hearing.tempo_factor * 100.0));
  gtk_spin_button_set_value(self->repeats, hearing.repeats);
  gtk_spin_button_set_value(self->gap, hearing.gap_beats);
  gtk_toggle_button_set_active(self->prelude, hearing.has_prelude);
  gtk_toggle_button_set_active(self->count_in, hearing.has_count_in);
  qf_levels_panel_show(self->levels, hearing);
  self->is_filling = FALSE;
}

QfHearing
qf_hearing_bar_get_hearing(const QfHearingBar* const self)
{
  QfHearing hearing = qf_levels_panel_read(self->levels, self->hearing);

  hearing.forward      = forward_of(gtk_drop_down_get_selected(self->forward), self->n_voices);
  hearing.tempo_factor = gtk_spin_button_get_value(self->tempo) / 100.0;
  hearing.repeats      = gtk_spin_button_get_value_as_int(self->repeats);
  hearing.gap_beats    = gtk_spin_button_get_value(self->gap);
  hearing.has_prelude  = gtk_toggle_button_get_active(self->prelude);
  hearing.has_count_in = gtk_toggle_button_get_active(self->count_in);
  return qf_hearing_clamp(hearing);
}

void
qf_hearing_bar_set_soundfont(QfHearingBar* const self, const char* const path)
{
  qf_levels_panel_set_soundfont(self->levels, path);
}

void
qf_hearing_bar_show_levels(QfHearingBar* const self)
{
  gtk_popover_popup(self->levels_popover);
}

void
qf_hearing_bar_choose_forward(QfHearingBar* const self, const guint choice)
{
  gtk_drop_down_set_selected(self->forward, MIN(choice, self->n_voices + 1U));
}

static void
show_level(QfHearingBar* const self)
{
  g_autofree char* text = g_strdup_printf("%.0f dB", gtk_range_get_value(self->level));
  gtk_label_set_text(self->level_value, text);
}

void
qf_hearing_bar_set_level(QfHearingBar* const self, const double level_db)
{
  self->is_filling = TRUE;
  gtk_range_set_value(self->level, level_db);
  show_level(self);
  self->is_filling = FALSE;
}

double
qf_hearing_bar_get_level(const QfHearingBar* const self)
{
  return gtk_range_get_value(self->level);
}

void
qf_hearing_bar_set_playing(QfHearingBar* const self, const gboolean is_playing)
{
  gtk_button_set_icon_name(self->play, is_playing ? "media-playback-pause-symbolic"
                                                  : "media-playback-start-symbolic");
  gtk_widget_set_tooltip_text(GTK_WIDGET(self->play),
                              is_playing ? "Pause (Space)" : "Play (Space)");
  gtk_accessible_update_property(GTK_ACCESSIBLE(self->play), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                 is_playing ? "Pause" : "Play", -1);
}

static void
edited_cb(QfHearingBar* const self)
{
  if (!self->is_filling) {
    g_signal_emit(self, signals[CHANGED], 0);
  }
}

static void
level_cb(QfHearingBar* const self)
{
  show_level(self);
  if (!self->is_filling) {
    g_signal_emit(self, signals[LEVEL_CHANGED], 0);
  }
}

static void
qf_hearing_bar_dispose(GObject* const object)
{
  g_clear_pointer(&QF_HEARING_BAR(object)->box, gtk_widget_unparent);
  G_OBJECT_CLASS(qf_hearing_bar_parent_class)->dispose(object);
}

static void
qf_hearing_bar_class_init(QfHearingBarClass* const klass)
{
  static const char* const names[] = {[CHANGED] = "changed", [LEVEL_CHANGED] = "level-changed"};
  GtkWidgetClass* const    widget_class = GTK_WIDGET_CLASS(klass);

  G_OBJECT_CLASS(klass)->dispose = qf_hearing_bar_dispose;
  gtk_widget_class_set_layout_manager_type(widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role(widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
  gtk_widget_class_set_template_from_resource(widget_class, QF_UI "qf-hearing-bar.ui");
  gtk_widget_class_bind_template_child(widget_class, QfHearingBar, box);
  gtk_widget_class_bind_template_child(widget_class, QfHearingBar, play);
  gtk_widget_class_bind_template_child(widget_class, QfHearingBar, forward);
  gtk_widget_class_bind_template_child(widget_class, QfHearingBar, tempo);
  gtk_widget_class_bind_template_child(widget_class, QfHearingBar, repeats);
  gtk_widget_class_bind_template_child(widget_class, QfHearingBar, gap);
  gtk_widget_class_bind_template_child(widget_class, QfHearingBar, prelude);
  gtk_widget_class_bind_template_child(widget_class, QfHearingBar, count_in);
  gtk_widget_class_bind_template_child(widget_class, QfHearingBar, level);
  gtk_widget_class_bind_template_child(widget_class, QfHearingBar, level_value);
  gtk_widget_class_bind_template_child(widget_class, QfHearingBar, levels_popover);
  gtk_widget_class_bind_template_callback(widget_class, edited_cb);
  gtk_widget_class_bind_template_callback(widget_class, level_cb);

  for (int i = 0; i < N_SIGNALS; ++i) {
    signals[i] = g_signal_new(names[i], QF_TYPE_HEARING_BAR, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                              G_TYPE_NONE, 0);
  }
}

static void
qf_hearing_bar_init(QfHearingBar* const self)
{
  self->is_filling = TRUE;
  self->hearing    = qf_hearing_default();
  gtk_widget_init_template(GTK_WIDGET(self));
  self->levels = qf_levels_panel_new();
  gtk_popover_set_child(self->levels_popover, GTK_WIDGET(self->levels));
  g_signal_connect_swapped(self->levels, "changed", G_CALLBACK(edited_cb), self);
  show_level(self);
  self->is_filling = FALSE;
}
