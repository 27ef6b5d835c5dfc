// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_RENDER_H
#define QF_SOUND_RENDER_H

#include "quintfall/sound.h"

/// Takes interleaved stereo frames as they are made
typedef QfStatus (*QfSinkFunc)(const float* frames, size_t n_frames, void* data, QfError* error);

/// Who is told how far it is, and may cancel
typedef struct {
  QfProgressFunc func; ///< May be NULL
  void*          data;
} QfProgress;

/// Frames a rendering of the events has
size_t
qf_render_n_frames(const QfEvents* events, int sample_rate);

/// Render events into a sink, from the first frame to the last
QfStatus
qf_render(const QfEvents* events,
          QfSoundSettings settings,
          int             sample_rate,
          QfProgress      progress,
          QfSinkFunc      sink,
          void*           sink_data,
          QfError*        error);

#endif // QF_SOUND_RENDER_H
