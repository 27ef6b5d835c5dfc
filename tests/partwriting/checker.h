// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TESTS_CHECKER_H
#define QUINTFALL_TESTS_CHECKER_H

#include "quintfall/realise.h"

/**
   A small judge of part-writing, written apart from the code it judges.

   It knows chords only as the reference table spells them.
*/
typedef struct {
  QfNoteName notes[QF_CHORD_MAX_NOTES]; ///< Bass first
  int        n_notes;
  QfNoteName root;
  int        inversion;
  bool       is_dominant_seventh;
} CheckedChord;

/// First fault within a chord as text, or NULL
const char*
check_chord(const CheckedChord* chord, const QfVoicing* voicing);

/// First fault between two chords as text, or NULL
const char*
check_connection(const CheckedChord* from_chord,
                 const QfVoicing*    from,
                 const CheckedChord* to_chord,
                 const QfVoicing*    to);

bool
has_note(const QfVoicing* voicing, QfNoteName name);

/// The fifth above a root: four letters up, seven semitones
QfNoteName
fifth_above(QfNoteName root);

#endif // QUINTFALL_TESTS_CHECKER_H
