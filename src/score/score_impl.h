// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SCORE_IMPL_H
#define QUINTFALL_SCORE_IMPL_H

#include "note_index.h"

#include "quintfall/score.h"

/// A voice and its notes in order of time, none overlapping
typedef struct {
  QfVoice info;
  QfNote* notes; ///< Owned
  size_t  n_notes;
  size_t  capacity;
} VoiceNotes;

struct QfScoreImpl {
  char*        title;    ///< Owned, or NULL for an empty one
  char*        composer; ///< Owned, or NULL for an empty one
  double       tempo;    ///< Quarter notes a minute
  QfStaff      staves[QF_MAX_STAVES];
  size_t       n_staves;
  VoiceNotes   voices[QF_MAX_VOICES];
  size_t       n_voices;
  QfBar*       bars; ///< Owned
  size_t       n_bars;
  size_t       bars_capacity;
  QfSignature* signatures; ///< Owned, in order of time
  size_t       n_signatures;
  size_t       signatures_capacity;
  QfTime*      fermatas; ///< Owned, in order of time
  size_t       n_fermatas;
  size_t       fermatas_capacity;
  NoteIndex    index;   ///< Every note's voice and start by identity
  uint32_t     next_id; ///< Above every identity given so far, unless that would wrap
};

/**
   Make an array of items hold at least `needed` of them.

   @param array The array (taken on success), or NULL while its capacity is 0.
   @param[in,out] capacity Items it holds.
   @return The array, perhaps moved; NULL if memory ran out, and then `array` is as it was.
*/
void*
qf_array_grow(void* array, size_t* capacity, size_t needed, size_t item_size);

/// True if a time is exact enough to be added up without rounding, and not before the start
bool
qf_score_can_hold(QfTime time);

/// Append full bars in the last metre until the score reaches `end`
QfStatus
qf_score_extend_to(QfScore* score, QfTime end);

/// Lift the fermatas in [start, end) where no note starts any more
void
qf_score_prune_fermatas(QfScore* score, QfTime start, QfTime end);

/// Index of the first note of a voice that ends after `time`
size_t
qf_score_first_after(const QfScore* score, size_t voice, QfTime time);

static inline QfTime
qf_note_end(const QfNote* const note)
{
  return qf_time_add(note->start, note->duration);
}

#endif // QUINTFALL_SCORE_IMPL_H
