// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_NONCHORD_H
#define QUINTFALL_ANALYSIS_NONCHORD_H

#include "quintfall/label.h"
#include "quintfall/slice.h"

/// How a voice goes from one note to the next
typedef enum {
  QF_MOVE_NONE, ///< A rest or the end comes between
  QF_MOVE_SAME,
  QF_MOVE_UP, ///< By a step
  QF_MOVE_DOWN,
  QF_MOVE_LEAP,
  QF_N_MOVES
} QfMove;

/// Where a note stands in its voice
typedef struct {
  QfForeignKind if_struck; ///< Kind, if it is foreign to the chord in which it begins
  QfForeignKind if_held;   ///< Kind, if it is held into a chord to which it is foreign
  bool          is_weak;   ///< Begins at a weaker place than the note it leads to
  int8_t        step;      ///< The voice goes on by a step: 1 up, -1 down, otherwise 0
  uint32_t      next;      ///< Identity of the next note of the voice, or #QF_NO_NOTE
} QfNoteContext;

/**
   Context of every note of every slice.

   @param levels Metrical level of the start of every slice.
   @param[out] result One array of #QF_MAX_VOICES a slice, parallel to its notes;
   (transfer full), free with free().
   Rule: common practice.
*/
QfStatus
qf_note_contexts_of(const QfScore*  score,
                    const QfSlices* slices,
                    const uint8_t*  levels,
                    QfNoteContext** result);

/// Metrical level of a time in the score
int
qf_score_level_at(const QfScore* score, QfTime time);

/// Either note may be NULL
QfMove
qf_move_between(const QfNote* a, const QfNote* b);

/// Kind of a note that is foreign to the chord in which it begins
QfForeignKind
qf_foreign_kind_struck(QfMove in, QfMove out);

#endif // QUINTFALL_ANALYSIS_NONCHORD_H
