// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_PASSAGE_H
#define QUINTFALL_PARTWRITING_PASSAGE_H

#include "sonority.h"

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
  bool            is_to_tonic;    ///< A dominant goes to its own tonic
  bool            is_deceptive;   ///< A dominant goes to the sixth degree above its own tonic
  bool            is_edge;        ///< To or from a voicing somebody else wrote
  bool            is_over_bar;    ///< The second one begins a bar
  bool            has_false_pair; ///< Some letter comes with two accidentals
  Duty            duties[QF_CHORD_MAX_NOTES];
} Passage;

Passage
passage_between(const Sonority* from, const Sonority* to);

/// True for V6 before IV6 in one key, where the sixths pass in parallel
bool
passage_is_falling_sixths(const Passage* passage);

#endif // QUINTFALL_PARTWRITING_PASSAGE_H
