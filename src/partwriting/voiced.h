// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_VOICED_H
#define QUINTFALL_PARTWRITING_VOICED_H

#include "bill.h"

/// One way to write a chord
typedef struct {
  QfPitch  pitch[MAX_PARTS]; ///< Highest first
  int      cost;             ///< Of the chord alone
  uint16_t choice;           ///< Which chord of its stage it writes
  Sounds   sounds;
} Voiced;

typedef struct {
  Voiced* voiced; ///< Owned
  size_t  n_voiced;
  size_t  capacity;
} VoicedList;

/// Facts of pitches in a sonority, the cost left 0
Voiced
voiced_of(const QfPitch* pitches, size_t n_voices, const Sonority* sonority);

/// What is asked of a chord
typedef struct {
  const QfPitch* kept[MAX_PARTS]; ///< For each voice the pitch to be kept, or NULL
  uint32_t       doubled;         ///< Bit m set: member m is wished to be doubled
  bool           is_first;        ///< Nothing is connected before it
} Wishes;

/**
   Append every way to write a sonority that breaks no rule by itself, from the lowest voices up.

   Tendency tones are never doubled, and nothing but a fifth is left out, whatever
   the profile; a ninth chord goes without fifth or root.
*/
QfStatus
voiced_list(const Sonority* sonority, const Policy* policy, const Wishes* wishes, VoicedList* list);

void
voiced_list_clear(VoicedList* list);

#endif // QUINTFALL_PARTWRITING_VOICED_H
