// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_ENGINE_H
#define QF_SOUND_ENGINE_H

#include "quintfall/sound.h"

enum {
  QF_ENGINE_BLOCK = 64, ///< Frames FluidSynth makes at a time; events fall on their edges
};

/// FluidSynth, set up in the one way that both the player and the renderer use
typedef struct QfEngineImpl QfEngine;

/**
   The SoundFont to use.

   @param wanted Path, or NULL to look in the usual places.
   @return (transfer full) NULL with a message if there is none that can be read.
*/
char*
qf_engine_choose_soundfont(const char* wanted, QfError* error);

/// @return #QF_ERR_MISSING without a SoundFont, #QF_ERR_RANGE for a rate outside 8-96 kHz
QfStatus
qf_engine_new(const char* soundfont, int sample_rate, QfEngine** engine, QfError* error);

void
qf_engine_free(QfEngine* engine);

int
qf_engine_get_rate(const QfEngine* engine);

/// Do what an event says; marks and the end do nothing
void
qf_engine_apply(QfEngine* engine, const QfEvent* event);

/// Silence notes and reverberation at once; channels get back their full level and first program
void
qf_engine_hush(QfEngine* engine);

/// Make the next #QF_ENGINE_BLOCK interleaved stereo frames
void
qf_engine_render(QfEngine* engine, float* frames);

#endif // QF_SOUND_ENGINE_H
