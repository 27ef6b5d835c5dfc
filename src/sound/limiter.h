// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_LIMITER_H
#define QF_SOUND_LIMITER_H

#include <stddef.h>
#include <stdint.h>

enum {
  QF_LIMITER_MAX_WINDOW = 512, ///< Five milliseconds at 96 kHz fit
};

/**
   A peak limiter that looks ahead.

   The gain a frame needs is held for a window's length and then averaged over
   the same length, so that the gain has come down smoothly by the time the
   frame leaves the delay: no sample is ever above the ceiling.
*/
typedef struct {
  size_t   window;  ///< Frames looked ahead, and of delay plus one
  float    ceiling; ///< Highest sample let through
  double   release; ///< Part of the way back to the needed gain, each frame
  double   envelope;
  double   sum; ///< Of the averaged gains
  uint64_t n_frames;
  size_t   n_idle; ///< Frames since a gain other than one was needed or in use
  size_t   first;  ///< Oldest entry of the falling minima
  size_t   n_minima;
  float    delay[QF_LIMITER_MAX_WINDOW][2];
  double   gains[QF_LIMITER_MAX_WINDOW]; ///< Averaged
  double   minima[QF_LIMITER_MAX_WINDOW];
  uint64_t minima_at[QF_LIMITER_MAX_WINDOW]; ///< Frames the minima belong to
} QfLimiter;

/// Prepare for a sample rate of at most 96 kHz; `ceiling_db` is relative to full scale
void
qf_limiter_init(QfLimiter* limiter, int sample_rate, double ceiling_db);

/// Frames between going in and coming out
size_t
qf_limiter_delay(const QfLimiter* limiter);

/// Replace interleaved stereo frames by limited ones
void
qf_limiter_process(QfLimiter* limiter, float* frames, size_t n_frames);

#endif // QF_SOUND_LIMITER_H
