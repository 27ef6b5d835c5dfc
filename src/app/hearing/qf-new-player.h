// SPDX-License-Identifier: MIT
#ifndef QF_NEW_PLAYER_H
#define QF_NEW_PLAYER_H

#include "common/qf-preferences.h"

#include "quintfall/sound.h"

G_BEGIN_DECLS

/// Told a sentence for the user
typedef void (*QfTellFunc)(const char* text, gpointer data);

/// The audio driver of the environment, else of the preferences (transfer full), or NULL
char*
qf_new_player_dup_driver(const QfPreferences* preferences);

/**
   A player with the SoundFont, device, level and tuning of the preferences.

   Made before it is needed, it plays at once when a key is pressed.

   @param key The just and the meantone tuning are those of this key.
   @return (transfer full) NULL if out of memory.
*/
QfPlayer*
qf_new_player(const QfPreferences* preferences, QfKey key);

/**
   Tell what befalls a player as long as it gets ready or plays.

   @param source The watch, 0 while there is none; remove it before the player or `data` go.
*/
void
qf_player_watch(QfPlayer* player, QfTellFunc tell, gpointer data, guint* source);

G_END_DECLS

#endif // QF_NEW_PLAYER_H
