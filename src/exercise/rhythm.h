// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_EXERCISE_RHYTHM_H
#define QUINTFALL_SRC_EXERCISE_RHYTHM_H

#include "random.h"

#include "quintfall/exercise.h"

/// A place for a chord
typedef struct {
  QfTime start;
  QfTime duration;
  int    level;      ///< Metrical weight as qf_metre_level() gives it
  bool   is_cadence; ///< A phrase ends here
} Slot;

/// Most chords that bars of a metre hold, the last bar having one
size_t
rhythm_capacity(QfMetre metre, size_t n_bars);

/// Draw the places of all chords; at most #QF_EXERCISE_MAX_CHORDS
size_t
rhythm_draw(const QfExerciseOptions* options, QfRandom* random, Slot* slots);

#endif // QUINTFALL_SRC_EXERCISE_RHYTHM_H
