// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_RAMP_H
#define QF_SOUND_RAMP_H

#include <stddef.h>

/// A value that moves in a straight line, so that no change of level clicks
typedef struct {
  float  value;
  float  target;
  float  step;   ///< Added each frame
  size_t n_left; ///< Frames until the target is reached
} QfRamp;

/// Move to a target over a number of frames; 0 frames jump
void
qf_ramp_start(QfRamp* ramp, float target, size_t n_frames);

/// The value of the next frame
float
qf_ramp_next(QfRamp* ramp);

/// Go on by some frames
void
qf_ramp_skip(QfRamp* ramp, size_t n_frames);

#endif // QF_SOUND_RAMP_H
