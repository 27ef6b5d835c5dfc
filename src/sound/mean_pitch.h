// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_MEAN_PITCH_H
#define QF_SOUND_MEAN_PITCH_H

#include <stdbool.h>
#include <stddef.h>

/// What sounds around a frequency
typedef struct {
  double power;    ///< Mean square of what is within about three quarters of a semitone
  double cents;    ///< Mean frequency of that, weighted by power, above the one looked for
  double contrast; ///< Power over that a tone above and a tone below; great for a steady tone
} QfPartial;

/**
   The mean pitch around a frequency of a tone.

   Each side is turned so that the frequency looked for becomes zero, and
   low-pass filtered; what is left turns from frame to frame by the difference.
   Summed up, these turns are weighted by power: so a vibrato and the players of
   an ensemble are averaged, and a tone that dies away counts while it sounds.

   @param frames Interleaved left and right.
   @return False if there are too few frames for the frequency, or memory is out.
*/
bool
qf_mean_pitch(const float* frames, size_t n_frames, int sample_rate, double hz, QfPartial* partial);

#endif // QF_SOUND_MEAN_PITCH_H
