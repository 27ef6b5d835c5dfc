// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_AUDIO_KIND_H
#define QF_SOUND_AUDIO_KIND_H

#include "quintfall/sound.h"

/// How a kind of file is written
typedef struct {
  const char* ending;
  const char* name;
  int         format; ///< Of libsndfile
  int         sample_rate;
} QfAudioFormat;

/// (transfer none)
const QfAudioFormat*
qf_audio_format(QfAudioKind kind);

#endif // QF_SOUND_AUDIO_KIND_H
