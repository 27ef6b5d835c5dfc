// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "hearing/qf-hearing-care.h"

enum {
  HEARING_DELAY_MS = 700, ///< A turned dial becomes one edit, not one for each step
};

static void
forward_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self   = data;
  const gint32    choice = g_variant_get_int32(parameter);

  (void)action;
  qf_hearing_bar_choose_forward(self->hearing, choice < 0 ? G_MAXUINT : (guint)choice);
}

static gboolean
write_hearing_cb(gpointer data)
{
  QfWindow* const self   = data;
  QfLesson* const lesson = qf_lesson_item_get_lesson(self->item);
  const QfHearing wanted = qf_hearing_bar_get_hearing(self->hearing);
  QfError         error  = {0};

  const gboolean is_heard_so =
    qf_window_is_loaded(self) && !self->is_plan_loaded && qf_hearing_equals(wanted, self->heard);

  self->hearing_timeout = 0;
  // A lesson that can only be read is still heard as the bar says.
  if (!qf_lesson_is_read_only(lesson) &&
      !qf_hearing_equals(wanted, qf_lesson_get_hearing(lesson))) {
    qf_lesson_item_finish(self->item, qf_lesson_set_hearing(lesson, wanted, &error), &error);
    if (is_heard_so) { // What is loaded sounds as the lesson now says
      self->loaded_revision = qf_lesson_get_revision(lesson);
    }
  }

  return G_SOURCE_REMOVE;
}

void
qf_window_flush_hearing(QfWindow* const self)
{
  if (self->hearing_timeout) {
    g_clear_handle_id(&self->hearing_timeout, g_source_remove);
    write_hearing_cb(self);
  }
}

static void
hearing_changed_cb(QfWindow* const self)
{
  g_clear_handle_id(&self->hearing_timeout, g_source_remove);
  self->hearing_timeout = g_timeout_add(HEARING_DELAY_MS, write_hearing_cb, self);
  qf_window_hear_change(self);
}

static void
levels_cb(GSimpleAction* const action, GVariant* const parameter, gpointer data)
{
  QfWindow* const self = data;

  (void)action;
  (void)parameter;
  qf_hearing_bar_show_levels(self->hearing);
}

static void
level_changed_cb(QfWindow* const self)
{
  const double level_db = qf_hearing_bar_get_level(self->hearing);

  qf_preferences_set_level(self->preferences, level_db);
  if (self->player) {
    qf_player_set_level(self->player, level_db);
  }
}

/// Say once, at the first start, how to listen with care
static void
show_care_once(QfWindow* const self)
{
  if (!qf_preferences_get_switch(self->preferences, "care-shown", FALSE)) {
    qf_preferences_set_switch(self->preferences, "care-shown", TRUE);
    qf_window_notice(self, qf_hearing_care_short());
  }
}

void
qf_window_offer_instruments(QfWindow* const self)
{
  g_autofree char* soundfont = qf_preferences_dup_soundfont(self->preferences);
  qf_hearing_bar_set_soundfont(self->hearing, soundfont);
}

void
qf_window_add_hearing_actions(QfWindow* const self)
{
  static const GActionEntry entries[] = {
    {.name = "forward", .activate = forward_cb, .parameter_type = "i"},
    {.name = "levels", .activate = levels_cb},
  };

  g_action_map_add_action_entries(G_ACTION_MAP(self), entries, G_N_ELEMENTS(entries), self);
  qf_hearing_bar_set_level(self->hearing, qf_preferences_get_level(self->preferences));
  g_signal_connect_object(self->hearing, "changed", G_CALLBACK(hearing_changed_cb), self,
                          G_CONNECT_SWAPPED);
  g_signal_connect_object(self->hearing, "level-changed", G_CALLBACK(level_changed_cb), self,
                          G_CONNECT_SWAPPED);
  qf_window_offer_instruments(self);
  show_care_once(self);
}
