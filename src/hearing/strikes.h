// SPDX-License-Identifier: MIT
#ifndef QF_HEARING_STRIKES_H
#define QF_HEARING_STRIKES_H

#include "quintfall/label.h"
#include "quintfall/slice.h"

/// A note of a block
typedef struct {
  uint8_t voice; ///< Index in the score
  QfPitch pitch;
} QfStruck;

/// A chord struck as a block
typedef struct {
  QfTime   start;
  QfTime   end;
  size_t   n_notes;
  QfStruck notes[QF_MAX_VOICES]; ///< From the lowest pitch up
} QfStrike;

typedef struct {
  QfStrike* strikes; ///< Owned, in order of time
  size_t    n_strikes;
} QfStrikes;

/**
   The blocks a stretch of a score is heard in when the quality is brought forward.

   Links that follow each other with the same chord over the same bass are one
   block, a change of bass is a new one. A block has the notes of the chord as
   the voices have them there: passing notes, suspensions and the like are left
   out, and a voice without a chord tone rests. Where a voice has several chord
   tones, its first one is struck, unless the chord would lack a note that is
   heard in it later. Slices without a labelled chord are struck as they are.

   @param labels NULL strikes every slice.
   @return #QF_OK or #QF_ERR_NO_MEM.
*/
QfStatus
qf_strikes_of(const QfSlices* slices,
              const QfLabels* labels,
              QfTime          from,
              QfTime          to,
              QfStrikes*      result);

void
qf_strikes_clear(QfStrikes* strikes);

#endif // QF_HEARING_STRIKES_H
