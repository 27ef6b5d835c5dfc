// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_EXERCISE_NEAR_KEYS_H
#define QUINTFALL_SRC_EXERCISE_NEAR_KEYS_H

#include "random.h"

#include "quintfall/key.h"

/// Draw a key to modulate to: at most one sign away
QfKey
draw_near_key(QfKey home, QfRandom* random);

#endif // QUINTFALL_SRC_EXERCISE_NEAR_KEYS_H
