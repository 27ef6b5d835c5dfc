// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_CONNECTION_H
#define QUINTFALL_PARTWRITING_CONNECTION_H

#include "voiced.h"

/// What a connection can break
typedef enum {
  FAULT_NONE,
  FAULT_PARALLELS,
  FAULT_OVERLAP,
  FAULT_MELODY,
  FAULT_LEADING_TONE,
  FAULT_SEVENTH,
  FAULT_N_KINDS
} Fault;

/// Where one tone may go in the next chord
typedef struct {
  bool is_due; ///< Its tendency can be followed there
  bool may_hold;
  bool may_fall_chromatically;
} Duty;

/// What two neighbouring chords ask of their voices, whatever the voicings
typedef struct {
  const Sonority* from;
  const Sonority* to;
  bool            is_same_root;
  bool            is_edge;        ///< To or from a voicing somebody else wrote
  bool            has_false_pair; ///< Some letter comes with two accidentals
  Duty            duties[QF_CHORD_MAX_NOTES];
} Passage;

Passage
passage_between(const Sonority* from, const Sonority* to);

/**
   Cost of going from one voicing to another.

   @param[out] fault Rule that forbids it, if the cost is #COST_NEVER or more.
*/
int
connection_cost(const Passage* passage,
                const Voiced*  from,
                const Voiced*  to,
                Strictness     strictness,
                Fault*         fault);

/// "makes consecutive fifths or octaves", a clause about what a fault does
const char*
fault_clause(Fault fault);

#endif // QUINTFALL_PARTWRITING_CONNECTION_H
