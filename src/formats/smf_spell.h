// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_FORMATS_SMF_SPELL_H
#define QUINTFALL_FORMATS_SMF_SPELL_H

#include "quintfall/score.h"

/// A note that has a key number and wants a name
typedef struct {
  QfTime  start;
  QfTime  end;
  uint8_t midi;
  size_t  index;  ///< The caller's
  int     fifths; ///< Found: place on the line of fifths
} QfUnspelled;

/**
   Spell notes on the line of fifths.

   Notes that sound together are spelled close together, near the middle of
   what was heard lately and of the key signature.

   @param notes Put into order of time and spelled.
   @param score Its signatures say the key.
*/
void
qf_smf_spell(QfUnspelled* notes, size_t n_notes, const QfScore* score);

/// The pitch of a key number at a place on the line of fifths
QfPitch
qf_smf_pitch(int midi, int fifths);

#endif // QUINTFALL_FORMATS_SMF_SPELL_H
