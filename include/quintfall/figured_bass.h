// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_FIGURED_BASS_H
#define QUINTFALL_FIGURED_BASS_H

#include "quintfall/chord.h"
#include "quintfall/key.h"

/**
   Write the figures of a chord over its bass, from the top, one a line.

   Short forms: nothing for 5/3, "6", "6\n4", "7", "6\n5", "4\n3", "4\n2".
   A note outside the signature puts its Unicode accidental before its figure,
   a lone accidental stands for the third.
*/
void
qf_figured_bass_write(QfChord chord, QfKey key, char* buffer, size_t size);

/**
   The notes a figured bass asks for, bass first.

   @param figures Such as "6", "6/5", "#", "4/2", "#6", "6+", "n": from the top, separated by
   slashes or newlines; figures are diatonic to the key's signature.
   @return #QF_OK or #QF_ERR_BAD_TEXT.
*/
QfStatus
qf_figured_bass_notes(QfNoteName  bass,
                      const char* figures,
                      QfKey       key,
                      QfNoteName  result[QF_CHORD_MAX_NOTES],
                      int*        n_notes,
                      QfError*    error);

#endif // QUINTFALL_FIGURED_BASS_H
