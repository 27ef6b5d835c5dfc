// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_EXPLORE_STOCK_H
#define QUINTFALL_EXPLORE_STOCK_H

#include "quintfall/explore.h"

enum {
  STOCK_MAX_WORDS = 128, ///< Room for any mode's vocabulary
};

/// A chord of a mode's vocabulary
typedef struct {
  QfNumeral numeral;
  QfStock   stock;
} StockWord;

/// The vocabulary of a mode, in a fixed order; gives the number of words
size_t
stock_words(QfMode mode, StockWord words[STOCK_MAX_WORDS]);

/// What a numeral that is no word of the vocabulary takes its notes from
QfStock
stock_of(const QfNumeral* numeral, QfKey key);

#endif // QUINTFALL_EXPLORE_STOCK_H
