// SPDX-License-Identifier: MIT
#include "qf-window-private.h"

#include "hearing/qf-new-player.h"

QfKey
qf_window_home_key(const QfWindow* const self)
{
  const QfLabels* const labels = qf_lesson_item_get_labels(self->item);
  return labels ? qf_labels_get_key(labels) : qf_window_key_at(self, QF_TIME_ZERO);
}

QfTuning
qf_window_get_tuning(const QfWindow* const self)
{
  QfTuning tuning = qf_preferences_get_tuning(self->preferences);
  tuning.key      = qf_window_home_key(self);
  return tuning;
}

static void
told_cb(const char* const text, gpointer data)
{
  qf_window_notice(data, text);
}

void
qf_window_watch_player(QfWindow* const self)
{
  qf_player_watch(self->player, told_cb, self, &self->player_watch);
}

QfPlayer*
qf_window_get_player(QfWindow* const self)
{
  if (!self->player) {
    g_free(self->soundfont);
    g_free(self->driver);
    self->soundfont = qf_preferences_dup_soundfont(self->preferences);
    self->driver    = qf_new_player_dup_driver(self->preferences);
    self->player    = qf_new_player(self->preferences, qf_window_home_key(self));
  }

  return self->player;
}

void
qf_window_drop_player(QfWindow* const self)
{
  g_clear_handle_id(&self->player_idle, g_source_remove);
  g_clear_handle_id(&self->player_watch, g_source_remove);
  g_clear_pointer(&self->player, qf_player_free);
}

static gboolean
prepare_cb(gpointer data)
{
  QfWindow* const self = data;

  self->player_idle = 0;
  qf_window_get_player(self);
  return G_SOURCE_REMOVE;
}

void
qf_window_prepare_player(QfWindow* const self)
{
  if (!self->player && !self->player_idle) {
    self->player_idle = g_idle_add_full(G_PRIORITY_LOW, prepare_cb, self, NULL);
  }
}

void
qf_window_retune(QfWindow* const self)
{
  qf_window_offer_instruments(self);
  if (!self->player) {
    return;
  }

  g_autofree char* soundfont = qf_preferences_dup_soundfont(self->preferences);
  if (g_strcmp0(soundfont, self->soundfont)) {
    qf_window_stop(self);
    qf_window_drop_player(self);
    qf_window_prepare_player(self);
    return;
  }

  g_autofree char* driver = qf_new_player_dup_driver(self->preferences);
  if (g_strcmp0(driver, self->driver)) {
    g_free(self->driver);
    self->driver = g_steal_pointer(&driver);
    qf_player_set_driver(self->player, self->driver);
  }
  qf_player_set_tuning(self->player, qf_window_get_tuning(self));
}
