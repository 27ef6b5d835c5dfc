// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_TEXTURE_H
#define QUINTFALL_ANALYSIS_TEXTURE_H

#include "columns.h"

/// How far a passage is short and in plain chords, 0-1
float
qf_plainness_of(const QfPassage* passage);

/**
   How far a passage is an example of a change of key, or an exercise, rather than a piece.

   Authors of short examples in plain chords write them to go from one key to
   another, and those who label them name more keys: a few chords are enough.
   What closes on the tonic of its signature may as well be an exercise.
*/
QfTexture
qf_texture_of(const QfPassage* passage, float plainness);

/**
   Beats of the pulse in which a passage moves: 1, or more where its chords come in longer values.

   What is written in half-notes below a beat of a quarter moves no slower than
   the same in quarters, so time spent in a key is counted in pulses. Examples
   of a change of key are left as they are: those in half-notes are labelled
   otherwise by their authors.
*/
float
qf_pulse_of(const QfPassage* passage);

#endif // QUINTFALL_ANALYSIS_TEXTURE_H
