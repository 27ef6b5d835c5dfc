// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SLICE_H
#define QUINTFALL_SLICE_H

#include "quintfall/score.h"

/// One voice's note during a slice
typedef struct {
  uint32_t id;
  uint8_t  voice;
  bool     is_struck; ///< Begins with the slice, otherwise held over
  QfPitch  pitch;
  QfTime   start;    ///< The whole note's
  QfTime   duration; ///< The whole note's
} QfSounding;

/// A stretch of time in which the same notes sound
typedef struct {
  QfTime     start;
  QfTime     end;
  uint8_t    n_notes;              ///< 0 in a general rest
  QfSounding notes[QF_MAX_VOICES]; ///< From the lowest pitch up
} QfSlice;

typedef struct {
  QfSlice* slices; ///< In order of time, without gaps, from the first bar's start
  size_t   n_slices;
} QfSlices;

/// Cut a score wherever a note begins or ends
QfStatus
qf_slices_of(const QfScore* score, QfSlices* result);

void
qf_slices_clear(QfSlices* slices);

#endif // QUINTFALL_SLICE_H
