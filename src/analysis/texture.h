// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_TEXTURE_H
#define QUINTFALL_ANALYSIS_TEXTURE_H

#include "columns.h"

/// How far a passage is short and in plain chords, 0-1
float
qf_plainness_of(const QfPassage* passage);

/**
   How far a passage is an example of a change of key, rather than a piece or an exercise.

   Authors of short examples in plain chords write them to go from one key to
   another, and those who label them name more keys: a few chords are enough.
   What closes on the tonic of its signature may as well be an exercise.
*/
float
qf_texture_of(const QfPassage* passage, float plainness);

#endif // QUINTFALL_ANALYSIS_TEXTURE_H
