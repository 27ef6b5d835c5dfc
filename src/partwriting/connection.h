// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_CONNECTION_H
#define QUINTFALL_PARTWRITING_CONNECTION_H

#include "voiced.h"

/// How a voicing was reached, as far as later rules look back at it
typedef struct {
  int8_t steps[MAX_PARTS]; ///< 0 unless it was a leap that matters
  int8_t semitones[MAX_PARTS];
  int8_t six_four; ///< A #SixFourEntry
} Arrival;

/// Least cost of the mere motion of the voices; never more than connection_cost()
int
motion_cost(const Voiced* from, const Voiced* to);

/**
   Cost of going from one voicing to another, whatever came before.

   @param[out] fault Rule that forbids it, if the cost is #COST_NEVER or more.
*/
int
connection_cost(const Passage* passage,
                const Voiced*  from,
                const Voiced*  to,
                const Policy*  policy,
                Grade*         fault);

/// What the rules that look two chords back add; never below 0
int
arrival_cost(const Arrival* arrival,
             const Passage* passage,
             const Voiced*  from,
             const Voiced*  to,
             const Policy*  policy);

Arrival
arrival_of(const Passage* passage, const Voiced* from, const Voiced* to);

bool
arrival_equals(const Arrival* a, const Arrival* b);

#endif // QUINTFALL_PARTWRITING_CONNECTION_H
