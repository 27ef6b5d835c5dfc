// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TUPLETS_H
#define QUINTFALL_TUPLETS_H

#include "score_impl.h"

/// What one note or rest takes of a bar; times are counted from the full bar's start
typedef struct {
  QfTime        start;
  QfTime        end;
  const QfNote* note; ///< NULL for a rest
} Piece;

/// The pieces of a bar, in order and without gaps
typedef struct {
  const Piece* pieces;
  size_t       n_pieces;
  QfMetre      metre;
} BarPieces;

/// A stretch of a bar written in a tuplet
typedef struct {
  QfTime start;
  QfTime end;
  int    factor; ///< Odd; so many in the time of the next lower power of two
} Tuplet;

enum {
  MAX_TUPLET = 255, ///< What a symbol holds; already far beyond what can be read
};

/// The largest power of two below an odd factor
int
qf_tuplet_base(int factor);

/**
   Find the tuplets that a bar needs.

   @param[out] tuplets In order, not overlapping; room for as many as pieces.
   @return How many there are.
*/
size_t
qf_tuplets_of(const BarPieces* bar, Tuplet* tuplets);

#endif // QUINTFALL_TUPLETS_H
