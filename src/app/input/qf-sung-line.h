// SPDX-License-Identifier: MIT
#ifndef QF_SUNG_LINE_H
#define QF_SUNG_LINE_H

#include "quintfall/pitch_in.h"

enum {
  QF_SUNG_HELD_FRAMES   = 14, ///< A note counts once so many frames in a row had its pitch
  QF_SUNG_BREATH_FRAMES = 6,  ///< So many without a pitch end a note; fewer are a consonant
};

/// What was sung of a note so far, frame by frame; all zero before the first note
typedef struct {
  QfPitchFrame held[QF_SUNG_HELD_FRAMES]; ///< The latest, oldest first
  size_t       n_held;
  size_t       n_silent;   ///< Frames without a pitch in a row
  double       settled_hz; ///< Of the note before while it still sounds, otherwise 0
} QfSungLine;

/**
   Take a frame; tell whether the note that is asked for has settled with it.

   The note before doesn't count again while it is still held: the next note is
   another pitch, or the same one after a breath.

   @param[out] sung How the note compares with the expected one, once it has settled.
*/
bool
qf_sung_line_take(QfSungLine*   line,
                  QfPitchFrame  frame,
                  int           expected_key,
                  QfSungOptions options,
                  QfSung*       sung);

#endif // QF_SUNG_LINE_H
