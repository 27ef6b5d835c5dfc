// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_WRITING_AROUND_H
#define QUINTFALL_LESSON_WRITING_AROUND_H

#include "lesson_state.h"

/// Links to be written into a score around the notes that stay
typedef struct {
  const QfScore* score;
  const QfLink*  links; ///< In order of time
  size_t         n_links;
  size_t         n_voices; ///< The first so many voices are written
  QfKept*        kept;     ///< What stays, one note a voice and link at most; owned
  uint32_t*      notes;    ///< Identity of each; owned
  size_t         n_kept;
  bool*          on_downbeat; ///< By link; owned
  bool           has_before;
  bool           has_after;
  QfPitch        before[QF_WRITING_MAX_VOICES]; ///< Sounds right up to the first link
  QfPitch        after[QF_WRITING_MAX_VOICES];  ///< Begins as the last link ends
} Around;

/**
   Find the chords before and after, and what stays within the links: given notes,
   and all notes of kept voices.

   @param must_fit A voice that keeps only notes outside the chord is kept too, to be
   complained about; otherwise it does not count.
*/
QfStatus
around_find(const State*  state,
            const QfLink* links,
            size_t        n_links,
            size_t        n_voices,
            uint32_t      kept_voices,
            bool          must_fit,
            Around*       result);

void
around_clear(Around* around);

/// Options that ask for writing around what stays
QfWriteOptions
around_options(const Around* around, QfProfile profile);

/// Complain of notes that clash by voice and place
QfStatus
around_report(const Around* around, const QfClash* clash, QfError* error);

/// Write pitches, chord by chord, into what is free in the links' time
QfStatus
around_write(State*         state,
             const QfLink*  links,
             size_t         n_links,
             size_t         n_voices,
             uint32_t       kept_voices,
             const QfPitch* pitches);

#endif // QUINTFALL_LESSON_WRITING_AROUND_H
