// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_NONCHORD_H
#define QUINTFALL_ANALYSIS_NONCHORD_H

#include "quintfall/slice.h"

/// Kinds of notes outside the chord, by how a voice enters and leaves them
typedef enum {
  QF_FOREIGN_PASSING,
  QF_FOREIGN_NEIGHBOUR,
  QF_FOREIGN_SUSPENSION,   ///< Held or repeated, then a step down
  QF_FOREIGN_RETARDATION,  ///< Held or repeated, then a step up
  QF_FOREIGN_ANTICIPATION, ///< Reached by step, then repeated
  QF_FOREIGN_APPOGGIATURA, ///< Reached by leap, left by step
  QF_FOREIGN_ESCAPE,       ///< Reached by step, left by leap
  QF_FOREIGN_PEDAL,        ///< Held or repeated on both sides
  QF_FOREIGN_FREE,         ///< None of these
  QF_FOREIGN_N_KINDS
} QfForeignKind;

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

   @param[out] result One array of #QF_MAX_VOICES a slice, parallel to its notes;
   (transfer full), free with free().
   Rule: common practice.
*/
QfStatus
qf_note_contexts_of(const QfScore* score, const QfSlices* slices, QfNoteContext** result);

/// Metrical level of a time in the score
int
qf_score_level_at(const QfScore* score, QfTime time);

/// "passing note"
const char*
qf_foreign_kind_name(QfForeignKind kind);

#endif // QUINTFALL_ANALYSIS_NONCHORD_H
