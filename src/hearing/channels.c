// SPDX-License-Identifier: MIT
#include "channels.h"

enum {
  NOMINAL_VELOCITY = 80,

  // The gain carries the whole softening; a touch lighter as well, so that the
  // others are never nearer than was asked for and sound less bright.
  SOFTENED_VELOCITY = 74,
};

// All but percussion, the prelude's and the last.
static const uint8_t voice_channels[] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13};

enum {
  N_VOICE_CHANNELS = sizeof(voice_channels) / sizeof(voice_channels[0]),
};

void
qf_parts_of(const QfPassStep* const pass,
            const uint32_t          forward,
            const int               program,
            const size_t            n_voices,
            QfPart                  parts[QF_MAX_VOICES])
{
  const bool    is_crowded  = n_voices > N_VOICE_CHANNELS;
  const uint8_t own_channel = voice_channels[N_VOICE_CHANNELS - 1];
  const size_t  n_shared    = N_VOICE_CHANNELS - (is_crowded && forward ? 1U : 0U);
  const int     usual       = pass->program == QF_PROGRAM_SAME ? program : pass->program;

  for (size_t i = 0; i < n_voices; ++i) {
    const bool is_forward = forward & QF_VOICE_BIT(i);
    const bool steps_back = forward && !is_forward;
    const bool changes    = is_forward && pass->forward_program != QF_PROGRAM_SAME;

    parts[i] = (QfPart){
      .channel  = is_forward && is_crowded ? own_channel : voice_channels[i % n_shared],
      .velocity = steps_back ? SOFTENED_VELOCITY : NOMINAL_VELOCITY,
      .program  = (uint8_t)(changes ? pass->forward_program : usual),
      .gain_db  = steps_back   ? -pass->softening_db
                  : is_forward ? pass->forward_gain_db
                               : 0.0,
      .late_s   = steps_back ? pass->lead_ms / 1000.0 : 0.0,
    };
  }
}
