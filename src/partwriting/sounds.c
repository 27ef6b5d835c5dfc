// SPDX-License-Identifier: MIT
#include "sounds.h"

enum { LETTERS = 7, OCTAVE = 12 };

void
sounds_set(Sounds* const         sounds,
           const size_t          voice,
           const QfPitch         pitch,
           const Sonority* const sonority)
{
  sounds->sounding |= 1U << voice;
  sounds->midi[voice] = (int16_t)qf_pitch_midi(pitch);
  sounds->step[voice] = (int16_t)qf_pitch_step(pitch);
  sounds->tone[voice] = -1;
  for (int i = 0; sonority && i < sonority->n_tones; ++i) {
    if (qf_note_name_equals(sonority->tones[i].name, qf_pitch_name(pitch))) {
      sounds->tone[voice] = (int8_t)i;
      return;
    }
  }
}

bool
sounds_has(const Sounds* const sounds, const size_t voice)
{
  return (sounds->sounding >> voice) & 1U;
}

PairClass
sounds_pair(const Sounds* const sounds, const size_t upper, const size_t lower)
{
  // Crossed voices make the interval that is heard.
  const int sign    = sounds->step[upper] < sounds->step[lower] ? -1 : 1;
  const int steps   = sign * (sounds->step[upper] - sounds->step[lower]);
  const int octaves = steps / LETTERS;
  const int letters = steps - LETTERS * octaves;
  const int rest    = sign * (sounds->midi[upper] - sounds->midi[lower]) - OCTAVE * octaves;

  return letters == 0 && rest == 0   ? CLASS_OCTAVE
         : letters == 4 && rest == 7 ? CLASS_FIFTH
         : letters == 4 && rest == 6 ? CLASS_DIMINISHED_FIFTH
                                     : CLASS_OTHER;
}

uint32_t
sounds_voices_on(const Sounds* const sounds, const int tone)
{
  uint32_t voices = 0;
  for (size_t v = 0; tone >= 0 && v < sounds->n_voices; ++v) {
    voices |= sounds_has(sounds, v) && sounds->tone[v] == tone ? 1U << v : 0U;
  }
  return voices;
}

int
count_bits(const uint32_t bits)
{
  return __builtin_popcount(bits);
}
