// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_FRAME_H
#define QUINTFALL_FRAME_H

#include "quintfall/time.h"

enum {
  FRAME_WHOLE    = 1024, ///< Ticks in a whole note: the shortest value is one tick
  MIN_NOTE_VALUE = -1,   ///< Breve
  MAX_NOTE_VALUE = 10,   ///< 1024th
};

/// The beats that written values are laid out against: a bar, or the inside of a tuplet
typedef struct {
  int     n_groups;
  int     groups[QF_METRE_MAX_GROUPS]; ///< Units in each beat
  int64_t unit;                        ///< Ticks, a power of two
  int64_t total;                       ///< Ticks of all beats
} Frame;

/// A note value with its dots
typedef struct {
  int     value; ///< As in QfSymbol
  int     dots;
  int64_t ticks;
} FrameValue;

Frame
qf_frame_of_metre(QfMetre metre);

/// The inside of a tuplet whose written values add up to `total` ticks
Frame
qf_frame_of_tuplet(int64_t total);

/// Whole ticks of a time; false if it is no multiple of a 1024th
bool
qf_frame_ticks(QfTime time, int64_t* ticks);

/**
   The longest value that may stand at `from` without passing `to`.

   @param is_plain True if [from, to) is all of a note, so that one value for
   it may be a syncopation.
*/
FrameValue
qf_frame_note_value(const Frame* frame, int64_t from, int64_t to, bool is_plain);

/// The longest rest that may stand at `from` without passing `to`
FrameValue
qf_frame_rest_value(const Frame* frame, int64_t from, int64_t to);

#endif // QUINTFALL_FRAME_H
