// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_PLAYER_H
#define QF_SOUND_PLAYER_H

#include "engine.h"
#include "keeper.h"

enum {
  QF_PLAYER_RATE = 48000, ///< Samples a second
};

/**
   Make a player that is asked for its samples by the caller, not by a device.

   @param engine Taken; NULL for a player that only keeps time.
   @param latency_s From being asked to being heard.
   @return (transfer full) NULL if out of memory.
*/
QfPlayer*
qf_player_new_with(QfEngine* engine, double level_db, double latency_s);

/// Give a device its next samples; called from the device's thread
void
qf_player_fill(QfPlayer* player, float* left, float* right, size_t n_frames);

/// How engines are made: qf_engine_new(), or a test's
typedef QfStatus (*QfEngineFunc)(const char* soundfont,
                                 QfTuning    tuning,
                                 int         sample_rate,
                                 QfEngine**  engine,
                                 QfError*    error);

/**
   Get an engine and a device ready, by a thread of its own.

   @param player Made without an engine.
   @param settings Copied.
   @return #QF_ERR_NO_MEM.
*/
QfStatus
qf_player_start(QfPlayer*       player,
                QfSoundSettings settings,
                QfEngineFunc    make_engine,
                QfDeviceKind    kind);

/// Open a device, and another whenever it is lost; once at most
QfStatus
qf_player_keep_device(QfPlayer* player, QfDeviceKind kind, const char* driver, QfError* error);

#endif // QF_SOUND_PLAYER_H
