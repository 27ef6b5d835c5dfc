// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_SOUNDS_H
#define QUINTFALL_PARTWRITING_SOUNDS_H

#include "sonority.h"

/// Interval of two voices, as far as rules speak of it
typedef enum {
  CLASS_OTHER,
  CLASS_OCTAVE, ///< Also unison and fifteenth
  CLASS_FIFTH,
  CLASS_DIMINISHED_FIFTH,
} PairClass;

/// What sounds at one time, as the rules see it
typedef struct {
  uint8_t  n_voices; ///< Highest first
  uint32_t sounding; ///< Bit v set: voice v is not resting
  int16_t  midi[QF_MAX_VOICES];
  int16_t  step[QF_MAX_VOICES];
  int8_t   tone[QF_MAX_VOICES]; ///< Index in the sonority, or -1 for a note outside the chord
} Sounds;

/// Set one voice; a NULL sonority makes the note foreign
void
sounds_set(Sounds* sounds, size_t voice, QfPitch pitch, const Sonority* sonority);

bool
sounds_has(const Sounds* sounds, size_t voice);

/// Interval class of a higher and a lower voice
PairClass
sounds_pair(const Sounds* sounds, size_t upper, size_t lower);

/// Voices that have a tone, as bits
uint32_t
sounds_voices_on(const Sounds* sounds, int tone);

int
count_bits(uint32_t bits);

#endif // QUINTFALL_PARTWRITING_SOUNDS_H
