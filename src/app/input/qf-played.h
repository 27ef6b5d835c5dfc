// SPDX-License-Identifier: MIT
#ifndef QF_PLAYED_H
#define QF_PLAYED_H

#include "quintfall/label.h"

/// A played key as a written note, spelled by qf_key_spell()
QfPitch
qf_played_pitch(int midi, QfKey key);

enum {
  QF_PLAYED_MAX_NOTES = 8,
  QF_PLAYED_NAME_SIZE = 160,
};

/**
   Name what is played together: "V65/ii: F♯ dominant seventh, first inversion", or
   the notes where they are no chord.

   @param midi From the lowest up; more than #QF_PLAYED_MAX_NOTES are left out.
   @param buffer At least #QF_PLAYED_NAME_SIZE bytes.
*/
void
qf_played_describe(const uint8_t* midi,
                   size_t         n_keys,
                   QfKey          key,
                   QfNamingKind   naming,
                   char*          buffer,
                   size_t         size);

/**
   Share played notes among voices: the lowest to the lowest voice, the highest to
   the highest, the others between from above.

   @param midi From the lowest up.
   @param[out] pitches One a voice, the highest first.
   @param[out] is_played False for voices that get none.
*/
void
qf_played_share(const uint8_t* midi,
                size_t         n_keys,
                QfKey          key,
                size_t         n_voices,
                QfPitch*       pitches,
                bool*          is_played);

#endif // QF_PLAYED_H
