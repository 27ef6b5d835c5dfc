// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SOUND_H
#define QUINTFALL_SOUND_H

#include "quintfall/events.h"
#include "quintfall/tuning.h"

/// Where sound comes from and goes to; all zero is what suits most
typedef struct {
  const char* soundfont; ///< Path, or NULL to look in the usual places
  const char*
           driver;   ///< FluidSynth audio driver, "null" for none, or NULL for the first that works
  double   level_db; ///< Overall level, -40-0; never more than the events' own is used
  QfTuning tuning;   ///< Of all instruments but percussion
} QfSoundSettings;

/// Find the SoundFont of the system (transfer full), or NULL with a message what to install
char*
qf_sound_find_soundfont(QfError* error);

/// One sound of a SoundFont
typedef struct {
  int  bank;
  int  program; ///< 0-127
  char name[64];
} QfInstrument;

/**
   The instruments of a SoundFont, by bank and program.

   @param soundfont Path, or NULL to look in the usual places.
   @param[out] instruments (transfer full: free())
   @return #QF_ERR_MISSING if the file can't be read or is no SoundFont.
*/
QfStatus
qf_sound_list_instruments(const char*    soundfont,
                          QfInstrument** instruments,
                          size_t*        n_instruments,
                          QfError*       error);

/// Names of the audio drivers there are on this machine, NULL at the end (transfer full: free())
char**
qf_sound_list_drivers(void);

/**
   How long an audio file is that is to be played as a clip.

   @return #QF_ERR_IO, #QF_ERR_UNSUPPORTED for what isn't audio, #QF_ERR_RANGE over three minutes.
*/
QfStatus
qf_sound_clip_length(const char* path, double* length_s, QfError* error);

typedef enum {
  QF_AUDIO_WAV,
  QF_AUDIO_FLAC,
  QF_AUDIO_OGG, ///< Vorbis
  QF_AUDIO_OPUS,
  QF_AUDIO_MP3,
  QF_AUDIO_N_KINDS
} QfAudioKind;

/// Ending of a kind's file names, ".flac"
const char*
qf_audio_kind_ending(QfAudioKind kind);

/// English name, "FLAC (lossless)"
const char*
qf_audio_kind_name(QfAudioKind kind);

/// True if the installed libsndfile writes this kind
bool
qf_audio_kind_can_write(QfAudioKind kind);

/// The kind of a path's ending; #QF_ERR_UNSUPPORTED if there is none, or libsndfile lacks it
QfStatus
qf_audio_kind_of(const char* path, QfAudioKind* kind, QfError* error);

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

/// What a recording says about itself; NULL or empty leaves a tag out
typedef struct {
  const char* title;
  const char* artist;
  const char* album;
  const char* comment;
  int         track; ///< From 1; 0 leaves it out
} QfRecordingTags;

#define QF_LOWEST_LOUDNESS (-30.0)
#define QF_USUAL_LOUDNESS (-23.0)
#define QF_HIGHEST_LOUDNESS (-14.0)

/// How a recording is made; all zero is what suits most
typedef struct {
  QfRecordingTags tags;
  double          loudness_lufs; ///< -30 to -14; 0 for the usual -23
} QfRecording;

/**
   Render to a file by its ending; the file appears only when complete.

   Every file gets the same programme loudness, whatever level its events are
   meant for, and a true peak under -1 dBTP, in lossy formats as decoded again.
   Source: EBU R 128 (2020), -23 LUFS and -1 dBTP; from memory.

   @param recording NULL for no tags and the usual loudness.
   @return #QF_ERR_UNSUPPORTED, #QF_ERR_RANGE for another loudness, #QF_ERR_IO,
   #QF_ERR_MISSING, #QF_ERR_CANCELLED.
*/
QfStatus
qf_sound_render_file(const QfEvents*    events,
                     QfSoundSettings    settings,
                     const QfRecording* recording,
                     const char*        path,
                     QfProgressFunc     progress,
                     void*              data,
                     QfError*           error);

/**
   The live player: plays events through FluidSynth from a thread of its own.

   All calls come from one thread (the window's). Without a device or SoundFont
   the player still keeps time, so that the mark moves, and says what is missing
   in a notice. A device that was lost is looked for again until one answers.
*/
typedef struct QfPlayerImpl QfPlayer;

/**
   Make a player; SoundFont and device are got ready by a thread of its own.

   Until then everything can be asked of it, but time stands still: what is
   played meanwhile begins, from its start, as soon as it can be heard.

   @return (transfer full) NULL only if out of memory.
*/
QfPlayer*
qf_player_new(QfSoundSettings settings);

/// True once the player was got ready, or is known to stay unheard for now
bool
qf_player_is_ready(const QfPlayer* player);

void
qf_player_free(QfPlayer* player);

/**
   Change the audio driver; what plays goes on, unheard until the other device answers.

   @param driver As in #QfSoundSettings; copied.
*/
void
qf_player_set_driver(QfPlayer* player, const char* driver);

/// True if sound can be heard
bool
qf_player_has_sound(const QfPlayer* player);

/**
   Replace what is played and go to its start; if it was playing, it goes on there.

   The level becomes the events' own, or stays at the last one set if that is lower.
   Clips are read here, which may take a moment; one that can't be is left out, with a notice.
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

/// True once it has come to the end
bool
qf_player_has_ended(const QfPlayer* player);

/// The score time last reached, or -1 in prelude, count-in and gaps; `{0,1}` before the start
QfTime
qf_player_get_score_time(const QfPlayer* player);

/// Level from now on, whatever the loaded events were meant for
void
qf_player_set_level(QfPlayer* player, double level_db);

/**
   Speed 0.25-4 without a break.

   An audio clip begins at its moment and keeps its own speed, so that speech
   stays speech: slower, silence follows it; faster, it can run into what follows.
*/
void
qf_player_set_speed(QfPlayer* player, double factor);

void
qf_player_set_loop(QfPlayer* player, bool loops);

/// Loop from `from_s` up to `to_s` only; the whole if that is no span. Loading makes it the whole
void
qf_player_set_loop_range(QfPlayer* player, double from_s, double to_s);

/// Tune from now on, also what is sounding
void
qf_player_set_tuning(QfPlayer* player, QfTuning tuning);

/// Highest sample since last asked, in decibels of full scale; -120 for silence
double
qf_player_get_peak_db(QfPlayer* player);

/// Root mean square of about the last tenth of a second, in decibels of full scale; -120 for
/// silence
double
qf_player_get_level_db(const QfPlayer* player);

/// What befell it since last asked: no sound and why, the device lost or back, a clip that can't be
/// read
bool
qf_player_take_notice(QfPlayer* player, QfError* notice);

#endif // QUINTFALL_SOUND_H
