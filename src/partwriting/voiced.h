// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_VOICED_H
#define QUINTFALL_PARTWRITING_VOICED_H

#include "sounds.h"

enum {
  N_PAIRS = 6, ///< Pairs of four voices
};

/// How strictly the rules are taken; tried in this order
typedef enum {
  STRICTNESS_FULL,
  STRICTNESS_RELAXED, ///< Wider ranges; overlaps and free resolutions at a price
  STRICTNESS_EDGES,   ///< Also the joins to what stands before and after may break rules
  STRICTNESS_N_KINDS
} Strictness;

/// One way to write a chord
typedef struct {
  QfVoicing voicing;
  int       cost; ///< Of the chord alone
  int16_t   midi[QF_SATB];
  int16_t   step[QF_SATB];
  int8_t    tone[QF_SATB]; ///< Index in the sonority, or -1
  int8_t    pairs[N_PAIRS];
} Voiced;

typedef struct {
  Voiced* voiced; ///< Owned
  size_t  n_voiced;
  size_t  capacity;
} VoicedList;

/// Upper and lower voice of each pair, the outer pair last
extern const uint8_t voice_pairs[N_PAIRS][2];

/// Facts of a voicing in a sonority, its cost left 0
Voiced
voiced_of(const QfVoicing* voicing, const Sonority* sonority);

/**
   List every way to write a sonority, lowest voices first.

   @param kept For each voice the pitch to be kept, or NULL.
   @param[in,out] list Replaced.
*/
QfStatus
voiced_list(const Sonority*      sonority,
            Strictness           strictness,
            const QfPitch* const kept[QF_SATB],
            VoicedList*          list);

void
voiced_list_clear(VoicedList* list);

#endif // QUINTFALL_PARTWRITING_VOICED_H
