// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_BILL_H
#define QUINTFALL_PARTWRITING_BILL_H

#include "rules.h"

enum {
  MIN_PARTS = 3,
  MAX_PARTS = 5,
};

/// How a chain is to be written
typedef struct {
  QfProfile profile;
  size_t    n_voices;    ///< 3 to 5
  bool      is_keyboard; ///< The upper voices lie in one hand
  bool      is_wide;     ///< Ranges and spacing may be stretched
  bool      is_lenient;  ///< Joins to what stands before and after may break rules
  uint32_t  ranged;      ///< Bit v set: voice v has a range of its own
  int16_t   lowest[MAX_PARTS];
  int16_t   highest[MAX_PARTS];
} Policy;

/// Range of a voice in semitones as MIDI counts them
void
policy_range(const Policy* policy, size_t voice, bool is_wide, int* low, int* high);

/// Adds up what remarks cost when writing: the same rules, the other way round
typedef struct {
  Sink      sink;
  QfProfile profile;
  uint32_t  ranged;    ///< Bit v set: nothing is charged for the range of voice v
  bool      may_fault; ///< An error has a price, as at a lenient edge
  int       cost;      ///< #COST_NEVER or more if an error was made
  Grade     fault;     ///< The last error
} Bill;

Bill
bill_new(QfProfile profile, bool may_fault);

#endif // QUINTFALL_PARTWRITING_BILL_H
