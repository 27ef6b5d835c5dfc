// SPDX-License-Identifier: MIT
#include "qf-new-player.h"

#include "common/qf-message.h"

enum {
  WATCH_MS = 200,
};

/// What is watched, and who is told
typedef struct {
  QfPlayer*  player;
  QfTellFunc tell;
  gpointer   data;
  guint*     source;
} Watch;

char*
qf_new_player_dup_driver(const QfPreferences* const preferences)
{
  const char* const named = g_getenv("QUINTFALL_AUDIO_DRIVER");
  return named ? g_strdup(named) : qf_preferences_dup_driver(preferences);
}

QfPlayer*
qf_new_player(const QfPreferences* const preferences, const QfKey key)
{
  g_autofree char* soundfont = qf_preferences_dup_soundfont(preferences);
  g_autofree char* driver    = qf_new_player_dup_driver(preferences);
  QfTuning         tuning    = qf_preferences_get_tuning(preferences);

  tuning.key = key;
  return qf_player_new((QfSoundSettings){.soundfont = soundfont,
                                         .driver    = driver,
                                         .level_db  = qf_preferences_get_level(preferences),
                                         .tuning    = tuning});
}

static gboolean
watch_cb(gpointer data)
{
  const Watch* const watch  = data;
  QfError            notice = {0};

  // Whether it goes on is asked first, so that the last notice is not missed.
  const gboolean goes_on =
    !qf_player_is_ready(watch->player) || qf_player_is_playing(watch->player);
  while (qf_player_take_notice(watch->player, &notice)) {
    g_autofree char* text = qf_sentence_dup(notice.text);
    watch->tell(text, watch->data);
  }
  if (!goes_on) {
    *watch->source = 0;
  }
  return goes_on;
}

void
qf_player_watch(QfPlayer* const  player,
                const QfTellFunc tell,
                gpointer const   data,
                guint* const     source)
{
  if (*source) {
    return;
  }

  Watch* const watch = g_new0(Watch, 1);
  *watch             = (Watch){player, tell, data, source};
  *source            = g_timeout_add_full(G_PRIORITY_DEFAULT, WATCH_MS, watch_cb, watch, g_free);
}
