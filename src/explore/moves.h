// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_EXPLORE_MOVES_H
#define QUINTFALL_EXPLORE_MOVES_H

#include "quintfall/numeral.h"

/// A line of the table of moves
typedef struct {
  QfMode      mode;
  const char* from;
  const char* to; ///< In the same key, or "*" for any chord of another key
  unsigned    count;
} Move;

/// All moves from a numeral, changes in brackets left aside, in the order of their texts
const Move*
moves_from(QfMode mode, const QfNumeral* numeral, size_t* n_moves);

/// True for a move into another key
bool
move_leaves(const Move* move);

/// A numeral as the table writes it; #QF_NUMERAL_TEXT_SIZE bytes
void
move_write(QfNumeral numeral, QfMode mode, char* buffer, size_t size);

#endif // QUINTFALL_EXPLORE_MOVES_H
