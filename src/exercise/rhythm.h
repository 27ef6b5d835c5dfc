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

/// What is settled of an exercise before its chords are
typedef struct {
  QfMetre          metre;
  QfHarmonicRhythm rhythm;
  QfModulation     modulation; ///< Never #QF_MODULATION_EITHER
  size_t           n_chords;   ///< As in the options, these two
  size_t           n_bars;
} Shape;

/// Draw metre, rhythm and modulation among those of the options
Shape
shape_draw(const QfExerciseOptions* options, QfRandom* random);

/// Most chords that bars of a metre hold, the last bar having one
size_t
rhythm_capacity(QfMetre metre, size_t n_bars);

/// Draw the places of all chords; at most #QF_EXERCISE_MAX_CHORDS
size_t
rhythm_draw(const Shape* shape, QfRandom* random, Slot* slots);

#endif // QUINTFALL_SRC_EXERCISE_RHYTHM_H
