// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_NOTE_PITCH_H
#define QF_SOUND_NOTE_PITCH_H

#include "quintfall/status.h"

#include <stdbool.h>

/// Lowest and highest key that is measured: those of a piano
enum {
  QF_LOWEST_MEASURED  = 21,
  QF_HIGHEST_MEASURED = 108,
};

/// Plays single notes of a SoundFont, unheard, and finds their pitch
typedef struct QfNotePitchImpl QfNotePitch;

/// @return #QF_ERR_MISSING if FluidSynth can't read the SoundFont.
QfStatus
qf_note_pitch_new(const char* soundfont, QfNotePitch** result, QfError* error);

void
qf_note_pitch_free(QfNotePitch* measurer);

/// True if the SoundFont has the instrument itself, and none is played in its stead
bool
qf_note_pitch_has(const QfNotePitch* measurer, int program);

/**
   Cents from equal temperament at 440 Hz to what a key of an instrument sounds.

   The mean over the first two seconds, without the attack, of the fundamental;
   of a sound with hardly any (bells, harmonics of a guitar), of the strongest
   octave of it. Zero for what has no steady pitch: percussion, noises, hits.

   The same key gives the same cents, whatever was measured before.
*/
double
qf_note_pitch_cents(QfNotePitch* measurer, int program, int key);

#endif // QF_SOUND_NOTE_PITCH_H
