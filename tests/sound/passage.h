// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TESTS_PASSAGE_H
#define QUINTFALL_TESTS_PASSAGE_H

#include "quintfall/sound.h"

/// A hearing at a level, otherwise as by default
QfHearing
passage_hearing(double level_db);

/// One chord of MIDI keys, a voice each; fails the running test if it can't be made
QfEvents
passage_chord(const uint8_t* keys, size_t n_keys, QfHearing hearing, double seconds);

/// Chords of four voices, one after another at even distances, each marked by its number
QfEvents
passage_chords(size_t n_chords, double seconds_each, double level_db);

/// Leave out the notes of all channels but one
void
passage_solo(QfEvents* events, uint8_t channel);

/// True if the machine has a SoundFont; tests that need one skip without
bool
passage_has_soundfont(void);

/// Largest sample of interleaved stereo frames [first, last)
double
passage_peak(const float* samples, size_t first, size_t last);

/// Root mean square of both sides, in decibels of full scale
double
passage_rms_db(const float* samples, size_t first, size_t last);

#endif // QUINTFALL_TESTS_PASSAGE_H
