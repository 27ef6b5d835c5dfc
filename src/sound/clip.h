// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_CLIP_H
#define QF_SOUND_CLIP_H

#include "quintfall/sound.h"

/// An audio file as stereo frames at the rate of what plays it
typedef struct {
  float* frames;   ///< Interleaved; owned; NULL for one that could not be read
  size_t n_frames; ///< Pairs
} QfClip;

/// The clips of some events, in the same order
typedef struct {
  QfClip* clips; ///< Owned
  size_t  n_clips;
} QfClips;

/**
   Read all clips of events, made as loud as four voices at the same level.

   Going on past a fault leaves that clip silent.
   @return The first fault of a file, which the message names.
*/
QfStatus
qf_clips_read(const QfEvents* events,
              int             sample_rate,
              bool            goes_on,
              QfClips*        result,
              QfError*        error);

void
qf_clips_clear(QfClips* clips);

#endif // QF_SOUND_CLIP_H
