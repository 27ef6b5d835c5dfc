// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_VOICED_H
#define QUINTFALL_PARTWRITING_VOICED_H

#include "bill.h"

enum {
  MIN_PARTS = 3,
  MAX_PARTS = 5,
};

/// One way to write a chord
typedef struct {
  QfPitch pitch[MAX_PARTS]; ///< Highest first
  int     cost;             ///< Of the chord alone
  Sounds  sounds;
} Voiced;

typedef struct {
  Voiced* voiced; ///< Owned
  size_t  n_voiced;
  size_t  capacity;
} VoicedList;

/// Facts of pitches in a sonority, the cost left 0
Voiced
voiced_of(const QfPitch* pitches, size_t n_voices, const Sonority* sonority);

/**
   List every way to write a sonority that breaks no rule by itself, from the lowest voices up.

   Tendency tones are never doubled, and nothing but a fifth is left out, whatever
   the profile; a ninth chord goes without fifth or root.
   @param next To the chord after it, or NULL.
   @param kept For each voice the pitch to be kept, or NULL.
   @param[in,out] list Replaced.
*/
QfStatus
voiced_list(const Sonority*      sonority,
            const Policy*        policy,
            const Passage*       next,
            bool                 is_first,
            const QfPitch* const kept[MAX_PARTS],
            VoicedList*          list);

void
voiced_list_clear(VoicedList* list);

#endif // QUINTFALL_PARTWRITING_VOICED_H
