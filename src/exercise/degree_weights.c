// SPDX-License-Identifier: MIT
#include "words.h"

#include "degree_counts.inc"

// W. Piston, Harmony, "Table of usual root progressions" (from memory): usual, sometimes, less
// often. The seventh degree stands for the dominant there, so it is reached like a rarer fifth.
enum { U = 60, S = 20, L = 5 };

static const unsigned char usual_progressions[7][7] = {
  {0, L, L, U, U, S, S}, // I to IV or V, sometimes VI, less often II or III
  {L, 0, L, S, U, S, S}, // II to V, sometimes IV or VI, less often I or III
  {L, L, 0, S, L, U, L}, // III to VI, sometimes IV, less often I, II or V
  {S, S, L, 0, U, L, S}, // IV to V, sometimes I or II, less often III or VI
  {U, L, L, S, 0, S, L}, // V to I, sometimes IV or VI, less often II or III
  {L, U, S, S, U, 0, L}, // VI to II or V, sometimes III or IV, less often I
  {U, L, S, L, L, L, 0}, // VII to I, or in a sequence to III
};

unsigned
degree_weight(const QfWeights weights, const QfMode mode, const int from, const int to)
{
  const size_t row    = (size_t)(from - 1);
  const size_t column = (size_t)(to - 1);
  return weights == QF_WEIGHTS_CORPUS ? degree_counts[mode == QF_MINOR][row][column]
                                      : usual_progressions[row][column];
}
