// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_EXERCISE_NEAR_KEYS_H
#define QUINTFALL_SRC_EXERCISE_NEAR_KEYS_H

#include "random.h"

#include "quintfall/exercise.h"

enum {
  MAX_STAYS = 3, ///< At home, away, at home again
};

/// Keys of a chain, one after the other, with a chord of both between two
typedef struct {
  QfKey  keys[MAX_STAYS];
  size_t n_keys;
} KeyPlan;

/// Draw a home among the keys of the options, and where it is left for, if it is
KeyPlan
draw_keys(const QfExerciseOptions* options, QfModulation modulation, QfRandom* random);

#endif // QUINTFALL_SRC_EXERCISE_NEAR_KEYS_H
