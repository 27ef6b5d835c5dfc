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
  double  late_s; ///< How much later its notes begin
} QfPart;

/**
   Give every voice a channel, an instrument, a level and a moment.

   Forward voices have channels that no other shares: the others step back and
   begin a little later. When there are more voices than channels, the forward
   ones share one, and so do some of the others.

   @param forward Bits of the voices brought forward; none leaves all alike.
   @param program Where the pass keeps the lesson's.
*/
void
qf_parts_of(const QfPassStep* pass,
            uint32_t          forward,
            int               program,
            size_t            n_voices,
            QfPart            parts[QF_MAX_VOICES]);

#endif // QF_HEARING_CHANNELS_H
