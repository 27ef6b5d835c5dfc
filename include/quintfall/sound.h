// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SOUND_H
#define QUINTFALL_SOUND_H

#include "quintfall/events.h"

/// Where sound comes from and goes to
typedef struct {
  const char* soundfont; ///< Path, or NULL to look in the usual places
  const char*
         driver;   ///< FluidSynth audio driver, "null" for none, or NULL for the first that works
  double level_db; ///< Overall level, -40-0; never more than the events' own is used
} QfSoundSettings;

/// Find the SoundFont of the system (transfer full), or NULL with a message what to install
char*
qf_sound_find_soundfont(QfError* error);

typedef enum { QF_AUDIO_WAV, QF_AUDIO_FLAC, QF_AUDIO_OGG } QfAudioKind;

/// Told from 0 to 1; return false to cancel
typedef bool (*QfProgressFunc)(double done, void* data);

/**
   Render events into stereo floats, faster than real time.

   @param[out] samples Interleaved left and right (transfer full).
   @param[out] n_frames Number of pairs.
   @return #QF_ERR_MISSING without a SoundFont, #QF_ERR_CANCELLED.
*/
QfStatus
qf_sound_render(const QfEvents* events,
                QfSoundSettings settings,
                int             sample_rate,
                QfProgressFunc  progress,
                void*           data,
                float**         samples,
                size_t*         n_frames,
                QfError*        error);

/// Render to a file by its ending (.wav, .flac, .ogg); the file appears only when complete
QfStatus
qf_sound_render_file(const QfEvents* events,
                     QfSoundSettings settings,
                     const char*     path,
                     QfProgressFunc  progress,
                     void*           data,
                     QfError*        error);

/**
   The live player: plays events through FluidSynth from a thread of its own.

   All calls come from one thread (the window's). Without a device or SoundFont
   the player still keeps time, so that the mark moves, and says what is missing.
*/
typedef struct QfPlayerImpl QfPlayer;

/// (transfer full) Never NULL unless out of memory; `error` says what is missing, if anything
QfPlayer*
qf_player_new(QfSoundSettings settings, QfError* error);

void
qf_player_free(QfPlayer* player);

/// True if sound can be heard
bool
qf_player_has_sound(const QfPlayer* player);

/**
   Replace what is played and go to its start; if it was playing, it goes on there.

   The level becomes the events' own, or stays at the last one set if that is lower.
   @param events Its content is taken and emptied.
*/
void
qf_player_load(QfPlayer* player, QfEvents* events);

void
qf_player_play(QfPlayer* player);

void
qf_player_pause(QfPlayer* player);

/// Pause, silence everything and go to the start
void
qf_player_stop(QfPlayer* player);

void
qf_player_seek(QfPlayer* player, double at_s);

bool
qf_player_is_playing(const QfPlayer* player);

double
qf_player_get_position(const QfPlayer* player);

/// The score time last reached, or -1 in prelude, count-in and gaps; `{0,1}` before the start
QfTime
qf_player_get_score_time(const QfPlayer* player);

/// Level from now on, whatever the loaded events were meant for
void
qf_player_set_level(QfPlayer* player, double level_db);

/// Speed 0.25-4 without a break
void
qf_player_set_speed(QfPlayer* player, double factor);

void
qf_player_set_loop(QfPlayer* player, bool loops);

#endif // QUINTFALL_SOUND_H
