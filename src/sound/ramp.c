// SPDX-License-Identifier: MIT
#include "ramp.h"

void
qf_ramp_start(QfRamp* const ramp, const float target, const size_t n_frames)
{
  ramp->target = target;
  ramp->n_left = n_frames;
  if (n_frames) {
    ramp->step = (target - ramp->value) / (float)n_frames;
  } else {
    ramp->value = target;
  }
}

float
qf_ramp_next(QfRamp* const ramp)
{
  if (ramp->n_left) {
    --ramp->n_left;
    ramp->value = ramp->n_left ? ramp->value + ramp->step : ramp->target;
  }

  return ramp->value;
}

void
qf_ramp_skip(QfRamp* const ramp, const size_t n_frames)
{
  for (size_t i = 0; i < n_frames && ramp->n_left; ++i) {
    qf_ramp_next(ramp);
  }
}
