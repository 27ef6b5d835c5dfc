// SPDX-License-Identifier: MIT
#include "word_tables.h"

// Weights are common practice: root positions before inversions, plain chords before rare ones.
static const WordLine major_lines[] = {
  {"I", PART_TONIC, 0, 10, 1},
  {"I6", PART_TONIC, 0, 6, 1},
  {"vi", PART_TONIC, QF_USE_SECONDARY, 7, 6},
  {"iii", PART_TONIC, QF_USE_SECONDARY, 4, 3},
  {"vi7", PART_TONIC, QF_USE_SEVENTHS, 3, 6, NULL, "ii"},
  {"I7", PART_TONIC, QF_USE_SEVENTHS, 2, 1, NULL, "IV"},
  {"ii", PART_PREDOMINANT, QF_USE_SECONDARY, 5, 2},
  {"ii6", PART_PREDOMINANT, QF_USE_SECONDARY, 6, 2},
  {"ii7", PART_PREDOMINANT, QF_USE_SEVENTHS, 5, 2},
  {"ii65", PART_PREDOMINANT, QF_USE_SEVENTHS, 6, 2},
  {"ii43", PART_PREDOMINANT, QF_USE_SEVENTHS, 2, 2},
  {"ii42", PART_PREDOMINANT, QF_USE_SEVENTHS, 2, 2, NULL, "V65"},
  {"IV", PART_PREDOMINANT, 0, 8, 4},
  {"IV6", PART_PREDOMINANT, 0, 4, 4},
  {"IV7", PART_PREDOMINANT, QF_USE_SEVENTHS, 3, 4},
  {"V", PART_DOMINANT, 0, 8, 5},
  {"V6", PART_DOMINANT, 0, 5, 5},
  {"V7", PART_DOMINANT, 0, 8, 5},
  {"V65", PART_DOMINANT, 0, 5, 5},
  {"V43", PART_DOMINANT, 0, 4, 5},
  {"V42", PART_DOMINANT, 0, 4, 5},
  {"viio6", PART_DOMINANT, QF_USE_LEADING_TONE, 5, 7},
  {"vii/o7", PART_DOMINANT, QF_USE_LEADING_TONE, 4, 7},
  {"vii/o65", PART_DOMINANT, QF_USE_LEADING_TONE, 2, 7},
  {"viio7", PART_DOMINANT, QF_USE_LEADING_TONE | QF_USE_MIXTURE, 4, 7},
  {"Cad64", PART_CADENTIAL, QF_USE_CADENTIAL, 10, 5},
  {"V64", PART_PASSING, QF_USE_SECONDARY, 5, 5, "I", "I6"},
  {"V64", PART_PASSING, QF_USE_SECONDARY, 5, 5, "I6", "I"},
  {"IV64", PART_PASSING, QF_USE_SECONDARY, 5, 4, "I", "I"},
  {"iv", PART_PREDOMINANT, QF_USE_MIXTURE, 4, 4},
  {"iv6", PART_PREDOMINANT, QF_USE_MIXTURE, 2, 4, NULL, "V"},
  {"ii/o65", PART_PREDOMINANT, QF_USE_MIXTURE | QF_USE_SEVENTHS, 3, 2},
  {"iio6", PART_PREDOMINANT, QF_USE_MIXTURE, 2, 2},
  {"bVI", PART_PREDOMINANT, QF_USE_MIXTURE, 6, 6},
  {"N6", PART_CHROMATIC, QF_USE_NEAPOLITAN, 6, 2},
  {"It6", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "V"},
  {"Fr43", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "V"},
  {"Ger65", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "Cad64"},
};

static const WordLine minor_lines[] = {
  {"i", PART_TONIC, 0, 10, 1},
  {"i6", PART_TONIC, 0, 6, 1},
  {"VI", PART_TONIC, QF_USE_SECONDARY, 7, 6},
  {"III", PART_TONIC, QF_USE_SECONDARY, 4, 3},
  {"VII", PART_TONIC, QF_USE_SECONDARY, 4, 7, NULL, "III"},
  {"VI7", PART_TONIC, QF_USE_SEVENTHS, 2, 6, NULL, "ii/o65"},
  {"iio6", PART_PREDOMINANT, QF_USE_SECONDARY, 6, 2},
  {"ii/o7", PART_PREDOMINANT, QF_USE_SEVENTHS, 4, 2},
  {"ii/o65", PART_PREDOMINANT, QF_USE_SEVENTHS, 6, 2},
  {"ii/o43", PART_PREDOMINANT, QF_USE_SEVENTHS, 2, 2},
  {"ii/o42", PART_PREDOMINANT, QF_USE_SEVENTHS, 2, 2, NULL, "V65"},
  {"iv", PART_PREDOMINANT, 0, 8, 4},
  {"iv6", PART_PREDOMINANT, 0, 4, 4, NULL, "V"},
  {"iv7", PART_PREDOMINANT, QF_USE_SEVENTHS, 3, 4},
  {"V", PART_DOMINANT, 0, 8, 5},
  {"V6", PART_DOMINANT, 0, 5, 5},
  {"V7", PART_DOMINANT, 0, 8, 5},
  {"V65", PART_DOMINANT, 0, 5, 5},
  {"V43", PART_DOMINANT, 0, 4, 5},
  {"V42", PART_DOMINANT, 0, 4, 5},
  {"viio6", PART_DOMINANT, QF_USE_LEADING_TONE, 5, 7},
  {"viio7", PART_DOMINANT, QF_USE_LEADING_TONE, 5, 7},
  {"viio65", PART_DOMINANT, QF_USE_LEADING_TONE, 3, 7},
  {"viio43", PART_DOMINANT, QF_USE_LEADING_TONE, 2, 7},
  {"Cad64", PART_CADENTIAL, QF_USE_CADENTIAL, 10, 5},
  {"V64", PART_PASSING, QF_USE_SECONDARY, 5, 5, "i", "i6"},
  {"V64", PART_PASSING, QF_USE_SECONDARY, 5, 5, "i6", "i"},
  {"iv64", PART_PASSING, QF_USE_SECONDARY, 5, 4, "i", "i"},
  {"I", PART_TONIC, QF_USE_MIXTURE, 6, 1, NULL, NULL, true},
  {"N6", PART_CHROMATIC, QF_USE_NEAPOLITAN, 6, 2},
  {"It6", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "V"},
  {"Fr43", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "V"},
  {"Ger65", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "Cad64"},
};

// Rule: MT21C "Secondary Dominants"; OMT "Applied chords".
static const WordTarget major_targets[] = {
  {"ii", 2, 3, true, true}, {"iii", 3, 1, true, true}, {"IV", 4, 2, false, false},
  {"V", 5, 4, false, true}, {"vi", 6, 3, true, true},
};

static const WordTarget minor_targets[] = {
  {"III", 3, 3, false, false}, {"iv", 4, 3, true, true},    {"V", 5, 4, false, true},
  {"VI", 6, 2, false, false},  {"VII", 7, 1, false, false},
};

// Rule: MT21C "Secondary Diminished Chords": minor targets take the fully diminished seventh.
static const AppliedLine appliable[] = {
  {"V", QF_USE_APPLIED, 1, true, false},
  {"V6", QF_USE_APPLIED, 1, true, false},
  {"V7", QF_USE_APPLIED, 2, false, false},
  {"V65", QF_USE_APPLIED, 2, false, false},
  {"V43", QF_USE_APPLIED, 1, false, false},
  {"V42", QF_USE_APPLIED, 1, false, false},
  {"viio7", QF_USE_APPLIED_LEADING, 2, false, false},
  {"viio65", QF_USE_APPLIED_LEADING, 1, false, false},
  {"vii/o7", QF_USE_APPLIED_LEADING, 1, false, true},
};

const WordTarget*
word_targets(const QfMode mode)
{
  _Static_assert(sizeof(major_targets) == N_TARGETS * sizeof(WordTarget), "targets of major");
  _Static_assert(sizeof(minor_targets) == N_TARGETS * sizeof(WordTarget), "targets of minor");
  return mode == QF_MAJOR ? major_targets : minor_targets;
}

const WordLine*
word_lines(const QfMode mode, size_t* const n_lines)
{
  *n_lines = mode == QF_MAJOR ? sizeof(major_lines) / sizeof(major_lines[0])
                              : sizeof(minor_lines) / sizeof(minor_lines[0]);
  return mode == QF_MAJOR ? major_lines : minor_lines;
}

const AppliedLine*
applied_lines(size_t* const n_lines)
{
  *n_lines = sizeof(appliable) / sizeof(appliable[0]);
  return appliable;
}
