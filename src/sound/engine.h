// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_ENGINE_H
#define QF_SOUND_ENGINE_H

#include "intonation.h"

#include "quintfall/sound.h"

enum {
  QF_ENGINE_BLOCK   = 64,   ///< Frames FluidSynth makes at a time
  QF_ENGINE_MAX_RUN = 1024, ///< Frames made in one call at most
};

/// FluidSynth drops what of a pitch is less than a cent; with half a one more it rounds
#define QF_ENGINE_ROUNDING_CENTS 0.5

/**
   FluidSynth, set up in the one way that both the player and the renderer use.

   FluidSynth begins notes on the edges of its blocks only. So that they begin
   at their own frame, each sounding note belongs to one of some slots: a slot
   has channels of its own, an output of its own, and delays that by less than
   a block.
*/
typedef struct QfEngineImpl QfEngine;

/**
   The SoundFont to use.

   @param wanted Path, or NULL to look in the usual places.
   @return (transfer full) NULL with a message if there is none that can be read.
*/
char*
qf_engine_choose_soundfont(const char* wanted, QfError* error);

/// Keep FluidSynth from writing to the terminal
void
qf_engine_be_quiet(void);

/// @return #QF_ERR_MISSING without a SoundFont, #QF_ERR_RANGE for a rate outside 8-96 kHz
QfStatus
qf_engine_new(const char* soundfont,
              QfTuning    tuning,
              int         sample_rate,
              QfEngine**  engine,
              QfError*    error);

void
qf_engine_free(QfEngine* engine);

int
qf_engine_get_rate(const QfEngine* engine);

/**
   How the instruments are out of tune (transfer none).

   A channel is corrected by it from the first note on after it is known.
*/
QfIntonation*
qf_engine_get_intonation(QfEngine* engine);

/**
   Do what an event says; marks, clips and the end do nothing.

   Notes begin exactly at the frame, unless more different frames within blocks
   sound at once than there are slots: then at the nearest one in use. Notes end
   on an edge, as their release takes many blocks.

   @param frame Of the next block, 0-63.
*/
void
qf_engine_apply(QfEngine* engine, const QfEvent* event, size_t frame);

/// Tune all channels but the percussion's
void
qf_engine_tune(QfEngine* engine, QfTuning tuning);

/// Let go of all notes, which then ring off
void
qf_engine_release(QfEngine* engine);

/// Silence notes and reverberation at once; channels get back their full level and first program
void
qf_engine_hush(QfEngine* engine);

/// Make the next interleaved stereo frames: whole blocks, at most #QF_ENGINE_MAX_RUN
void
qf_engine_render(QfEngine* engine, float* frames, size_t n_frames);

#endif // QF_SOUND_ENGINE_H
