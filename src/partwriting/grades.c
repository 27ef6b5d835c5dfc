// SPDX-License-Identifier: MIT
#include "rules.h"

#define OFF QF_SEVERITY_OFF
#define INFO QF_SEVERITY_INFO
#define WARN QF_SEVERITY_WARNING
#define ERR QF_SEVERITY_ERROR

// Sources: those of the rules in rule_table.c; severities in strict, common, free. Where books
// differ the milder reading is taken by common.
// clang-format off
static const GradeText grades[GRADE_N_KINDS] = {
  [GRADE_RANGE] = {
    QF_RULE_RANGE,
    {ERR, WARN, OFF},
    12,
    "leaves its range",
  },
  [GRADE_SPACING] = {
    QF_RULE_SPACING,
    {ERR, ERR, WARN},
    20,
    "are more than an octave apart",
  },
  // Common practice: figuration may open a gap, and alto and tenor touch, for less than a beat.
  [GRADE_SPACING_BRIEF] = {
    QF_RULE_SPACING,
    {WARN, INFO, OFF},
    20,
    "are more than an octave apart for a moment",
  },
  [GRADE_CROSSING_BRIEF] = {
    QF_RULE_CROSSING,
    {WARN, INFO, OFF},
    40,
    "cross for a moment",
  },
  [GRADE_CROSSING] = {
    QF_RULE_CROSSING,
    {ERR, ERR, WARN},
    40,
    "cross",
  },
  [GRADE_CROSSING_OTHER] = {
    QF_RULE_CROSSING,
    {ERR, ERR, ERR},
    60,
    "cross",
  },
  [GRADE_UNISON] = {
    QF_RULE_UNISON,
    {INFO, OFF, OFF},
    3,
    "meet in unison",
  },
  [GRADE_OVERLAP] = {
    QF_RULE_OVERLAP,
    {ERR, WARN, OFF},
    15,
    "overlap: one passes where the other just was",
  },
  [GRADE_PARALLEL_FIFTHS] = {
    QF_RULE_PARALLEL_FIFTHS,
    {ERR, ERR, ERR},
    60,
    "move in parallel fifths",
  },
  // Often tolerated between bass and the lowered third of a German sixth (common practice).
  [GRADE_PARALLEL_FIFTHS_GERMAN] = {
    QF_RULE_PARALLEL_FIFTHS,
    {ERR, ERR, WARN},
    40,
    "move in parallel fifths out of the German sixth",
  },
  [GRADE_PARALLEL_OCTAVES] = {
    QF_RULE_PARALLEL_OCTAVES,
    {ERR, ERR, ERR},
    60,
    "move in parallel octaves or unisons",
  },
  [GRADE_CONTRARY_FIFTHS] = {
    QF_RULE_CONTRARY_FIFTHS,
    {ERR, WARN, OFF},
    25,
    "go from fifth to fifth in contrary motion",
  },
  [GRADE_CONTRARY_FIFTHS_OUTER] = {
    QF_RULE_CONTRARY_FIFTHS,
    {ERR, ERR, WARN},
    40,
    "go from fifth to fifth in contrary motion",
  },
  [GRADE_CONTRARY_OCTAVES] = {
    QF_RULE_CONTRARY_OCTAVES,
    {ERR, WARN, OFF},
    25,
    "go from octave to octave in contrary motion",
  },
  [GRADE_CONTRARY_OCTAVES_OUTER] = {
    QF_RULE_CONTRARY_OCTAVES,
    {ERR, ERR, WARN},
    40,
    "go from octave to octave in contrary motion",
  },
  [GRADE_DIRECT_FIFTHS] = {
    QF_RULE_DIRECT_FIFTHS,
    {ERR, WARN, OFF},
    20,
    "leap in the same direction into a fifth",
  },
  [GRADE_DIRECT_OCTAVES] = {
    QF_RULE_DIRECT_OCTAVES,
    {ERR, WARN, WARN},
    20,
    "leap in the same direction into an octave",
  },
  [GRADE_UNEQUAL_FIFTHS_BASS] = {
    QF_RULE_UNEQUAL_FIFTHS,
    {ERR, WARN, OFF},
    20,
    "go from a diminished to a perfect fifth in the same direction",
  },
  [GRADE_UNEQUAL_FIFTHS_UPPER] = {
    QF_RULE_UNEQUAL_FIFTHS,
    {WARN, OFF, OFF},
    4,
    "go from a diminished to a perfect fifth in the same direction",
  },
  [GRADE_LEADING_TONE_DOUBLED] = {
    QF_RULE_LEADING_TONE_DOUBLED,
    {ERR, ERR, WARN},
    60,
    "double the leading tone",
  },
  [GRADE_LEADING_TONE_DOUBLED_PASSING] = {
    QF_RULE_LEADING_TONE_DOUBLED,
    {WARN, WARN, OFF},
    20,
    "double the leading tone of a passing V6",
  },
  [GRADE_LEADING_TONE_OUTER] = {
    QF_RULE_LEADING_TONE_RESOLUTION,
    {ERR, ERR, WARN},
    40,
    "does not lead the leading tone up",
  },
  [GRADE_LEADING_TONE_INNER] = {
    QF_RULE_LEADING_TONE_RESOLUTION,
    {ERR, WARN, WARN},
    30,
    "does not lead the leading tone up",
  },
  [GRADE_LEADING_TONE_FALLS_THIRD] = {
    QF_RULE_LEADING_TONE_RESOLUTION,
    {WARN, INFO, OFF},
    14,
    "drops a third from the leading tone",
  },
  // OMT, Tendency tones: a leading tone may be one step of a scale that falls.
  [GRADE_LEADING_TONE_DESCENDS] = {
    QF_RULE_LEADING_TONE_RESOLUTION,
    {INFO, INFO, OFF},
    14,
    "passes down through the leading tone",
  },
  [GRADE_SEVENTH_DOUBLED] = {
    QF_RULE_SEVENTH_DOUBLED,
    {ERR, ERR, WARN},
    60,
    "double the seventh",
  },
  [GRADE_SEVENTH_RESOLUTION] = {
    QF_RULE_SEVENTH_RESOLUTION,
    {ERR, ERR, WARN},
    40,
    "does not lead the seventh down by step",
  },
  // Within one harmony a seventh can be let go; common practice judges it less.
  [GRADE_SEVENTH_ABANDONED] = {
    QF_RULE_SEVENTH_RESOLUTION,
    {ERR, WARN, OFF},
    30,
    "leaves the seventh, and no voice takes it over",
  },
  [GRADE_SEVENTH_TENTHS] = {
    QF_RULE_SEVENTH_RESOLUTION,
    {INFO, INFO, OFF},
    12,
    "leads the seventh up in parallel tenths with the bass",
  },
  // ii7 to V65: the leading tone it should go to is in the bass, and may not be doubled.
  [GRADE_SEVENTH_TO_BASS] = {
    QF_RULE_SEVENTH_RESOLUTION,
    {WARN, WARN, OFF},
    20,
    "leaves the resolution of the seventh to the bass",
  },
  // The chords are to blame, not the voices: no note of the next one lies a step below.
  [GRADE_SEVENTH_WITHOUT_GOAL] = {
    QF_RULE_SEVENTH_RESOLUTION,
    {WARN, WARN, OFF},
    0,
    "can't resolve the seventh in the next chord",
  },
  [GRADE_AUGMENTED_SECOND] = {
    QF_RULE_AUGMENTED_SECOND,
    {ERR, ERR, WARN},
    40,
    "moves by an augmented second",
  },
  [GRADE_AUGMENTED_FOURTH] = {
    QF_RULE_AUGMENTED_FOURTH,
    {ERR, WARN, OFF},
    20,
    "leaps an augmented fourth",
  },
  [GRADE_AUGMENTED_LEAP] = {
    QF_RULE_AUGMENTED_LEAP,
    {ERR, WARN, OFF},
    20,
    "leaps an augmented interval",
  },
  [GRADE_DIMINISHED_LEAP] = {
    QF_RULE_DIMINISHED_LEAP,
    {WARN, INFO, OFF},
    3,
    "does not turn back by step after a diminished leap",
  },
  [GRADE_LARGE_LEAP] = {
    QF_RULE_LARGE_LEAP,
    {WARN, WARN, OFF},
    30,
    "leaps a seventh or more",
  },
  [GRADE_LEAP_RECOVERY] = {
    QF_RULE_LEAP_RECOVERY,
    {WARN, INFO, OFF},
    3,
    "goes on in the same direction after a leap",
  },
  [GRADE_COMPOUND_LEAP] = {
    QF_RULE_COMPOUND_LEAP,
    {WARN, INFO, OFF},
    3,
    "leaps twice in one direction, over a seventh or more",
  },
  [GRADE_CROSS_RELATION] = {
    QF_RULE_CROSS_RELATION,
    {ERR, WARN, OFF},
    10,
    "make a cross relation",
  },
  [GRADE_CROSS_RELATION_NEAPOLITAN] = {
    QF_RULE_CROSS_RELATION,
    {INFO, INFO, OFF},
    0,
    "make the cross relation usual after a Neapolitan",
  },
  // i to V65/iv: the position asks for the altered tone in the bass, where no semitone leads.
  [GRADE_CROSS_RELATION_BASS] = {
    QF_RULE_CROSS_RELATION,
    {WARN, INFO, OFF},
    5,
    "make a cross relation that the bass of the chord asks for",
  },
  [GRADE_MISSING_THIRD] = {
    QF_RULE_MISSING_THIRD,
    {ERR, ERR, WARN},
    60,
    "lacks its third",
  },
  [GRADE_MISSING_FIFTH] = {
    QF_RULE_MISSING_FIFTH,
    {INFO, INFO, OFF},
    0,
    "lacks its fifth",
  },
  [GRADE_MISSING_FIFTH_INVERTED] = {
    QF_RULE_MISSING_FIFTH,
    {ERR, WARN, OFF},
    30,
    "is inverted and lacks its fifth",
  },
  [GRADE_MISSING_ROOT] = {
    QF_RULE_MISSING_NOTE,
    {ERR, WARN, OFF},
    60,
    "lacks its root",
  },
  [GRADE_MISSING_SEVENTH] = {
    QF_RULE_MISSING_NOTE,
    {ERR, WARN, OFF},
    60,
    "lacks its seventh",
  },
  [GRADE_DOUBLED_THIRD] = {
    QF_RULE_DOUBLED_THIRD,
    {WARN, INFO, OFF},
    0,
    "double the third",
  },
  [GRADE_DOUBLED_THIRD_FORCED] = {
    QF_RULE_DOUBLED_THIRD,
    {INFO, INFO, OFF},
    0,
    "double the third, as the resolution asks",
  },
  // The chorales do it in five chords of a hundred, so that only strict minds.
  [GRADE_DOUBLED_THIRD_IN_BASS] = {
    QF_RULE_DOUBLED_THIRD_IN_BASS,
    {WARN, OFF, OFF},
    0,
    "double the third that is in the bass",
  },
  // OMT: the degrees 1, 2, 4 and 5 may be doubled wherever they are.
  [GRADE_DOUBLED_THIRD_IN_BASS_FIXED] = {
    QF_RULE_DOUBLED_THIRD_IN_BASS,
    {INFO, OFF, OFF},
    0,
    "double the third that is in the bass, a strong degree of the key",
  },
  [GRADE_ALTERED_DOUBLED] = {
    QF_RULE_ALTERED_DOUBLED,
    {ERR, WARN, OFF},
    40,
    "double an altered tone",
  },
  [GRADE_SIX_FOUR_DOUBLING] = {
    QF_RULE_SIX_FOUR_DOUBLING,
    {ERR, WARN, OFF},
    8,
    "does not double its bass",
  },
  [GRADE_SIX_FOUR_USE] = {
    QF_RULE_SIX_FOUR_USE,
    {WARN, INFO, OFF},
    10,
    "is a six-four that neither cadences, passes nor stands over a held bass",
  },
  [GRADE_CADENTIAL_RESOLUTION] = {
    QF_RULE_CADENTIAL_RESOLUTION,
    {WARN, INFO, OFF},
    6,
    "does not step down out of the cadential six-four",
  },
  [GRADE_AUGMENTED_SIXTH_RESOLUTION] = {
    QF_RULE_AUGMENTED_SIXTH_RESOLUTION,
    {ERR, WARN, OFF},
    30,
    "does not open the augmented sixth outward",
  },
  [GRADE_NEAPOLITAN_RESOLUTION] = {
    QF_RULE_NEAPOLITAN_RESOLUTION,
    {WARN, INFO, OFF},
    6,
    "leads the lowered second degree up",
  },
  [GRADE_BASS_OVER_BAR] = {
    QF_RULE_BASS_OVER_BAR,
    {WARN, INFO, OFF},
    10,
    "repeats its note over the bar line under a new chord",
  },
};
// clang-format on

const GradeText*
grade_get(const Grade grade)
{
  return &grades[grade];
}
