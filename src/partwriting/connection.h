// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_CONNECTION_H
#define QUINTFALL_PARTWRITING_CONNECTION_H

#include "passage.h"
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
