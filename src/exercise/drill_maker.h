// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_EXERCISE_DRILL_MAKER_H
#define QUINTFALL_SRC_EXERCISE_DRILL_MAKER_H

#include "random.h"

#include "quintfall/chord.h"
#include "quintfall/drill.h"
#include "quintfall/realise.h"

/// A drill on its way
typedef struct {
  QfDrill*     drill;
  QfRandom     random;
  QfNamingKind naming;
} DrillMaker;

enum {
  DRILL_NAME_SIZE = 40,
};

/// Each fills the drill; #QF_ERR_IMPOSSIBLE asks for another draw
QfStatus
make_quality_drill(DrillMaker* maker);

QfStatus
make_inversion_drill(DrillMaker* maker);

QfStatus
make_function_drill(DrillMaker* maker);

QfStatus
make_target_drill(DrillMaker* maker);

QfStatus
make_circle_drill(DrillMaker* maker);

QfStatus
make_resolution_drill(DrillMaker* maker);

// ---- what they share

/// Draw a key for the level: more signs, and minor, as it rises
QfKey
draw_drill_key(DrillMaker* maker);

/// Write a chord in close position as what is heard, the inversion's note in the bass
QfStatus
drill_set_chord(DrillMaker* maker, QfChord chord);

/// Write numerals in the drill's key as what is heard, a half note each; `asked` is asked about
QfStatus
drill_set_chain(DrillMaker* maker, const char* const* numerals, size_t n, size_t asked);

/**
   Offer texts to choose from, in their own order, the right one among them.

   @param most At most so many of the texts are offered.
*/
void
drill_set_choices(DrillMaker* maker, const char* const* texts, size_t n, size_t right, size_t most);

void
drill_add_concept(DrillMaker* maker, const char* group, const char* member);

/// A note's name for reading
void
drill_name(const DrillMaker* maker, QfNoteName note, char buffer[DRILL_NAME_SIZE]);

/// The notes of a chord, root first: "G, B, D, F"
void
drill_name_chord(const DrillMaker* maker, QfChord chord, char* buffer, size_t size);

/// The chord of a numeral in the drill's key; false if it is none
bool
drill_chord_of(const DrillMaker* maker, const char* numeral, QfNumeral* parsed, QfChord* chord);

/// The key in words: "G major"
void
drill_name_key(const DrillMaker* maker, char buffer[DRILL_NAME_SIZE]);

#endif // QUINTFALL_SRC_EXERCISE_DRILL_MAKER_H
