// SPDX-License-Identifier: MIT
#ifndef QF_HEARING_CHANNELS_H
#define QF_HEARING_CHANNELS_H

#include "quintfall/events.h"

enum {
  QF_CHANNEL_COUNT_IN = 9, ///< General MIDI's percussion channel
  QF_CHANNEL_PRELUDE  = 14,
};

/// How each voice is to sound
typedef struct {
  uint8_t channel;
  uint8_t velocity;
  uint8_t program;
  double  gain_db;
} QfPart;

/**
   Give every voice a channel, an instrument and a level.

   The forward voice has a channel to itself and keeps its level: the others
   step back. When there are more voices than channels, the others share.
*/
void
qf_parts_of(QfHearing hearing, size_t n_voices, QfPart parts[QF_MAX_VOICES]);

#endif // QF_HEARING_CHANNELS_H
