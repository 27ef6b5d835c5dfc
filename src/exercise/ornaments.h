// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_EXERCISE_ORNAMENTS_H
#define QUINTFALL_SRC_EXERCISE_ORNAMENTS_H

#include "random.h"

#include "quintfall/exercise.h"

/**
   Put notes outside the chords into a lesson written in block chords.

   Each is kept only if the labels stay those of the chain, the part-writing
   stays free of errors and the note is recognised as what it is meant to be.

   @param[in,out] lesson Replaced by one with the notes.
   @return #QF_OK, also where none fitted; #QF_ERR_NO_MEM.
*/
QfStatus
add_ornaments(const QfExerciseOptions* options,
              QfMetre                  metre,
              const QfLink*            links,
              size_t                   n_links,
              QfRandom*                random,
              QfLesson**               lesson);

#endif // QUINTFALL_SRC_EXERCISE_ORNAMENTS_H
