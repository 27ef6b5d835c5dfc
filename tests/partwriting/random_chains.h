// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TESTS_RANDOM_CHAINS_H
#define QUINTFALL_TESTS_RANDOM_CHAINS_H

#include "quintfall/writing.h"

enum {
  RANDOM_CHAIN_MAX = 8,
};

typedef struct {
  QfKey  key;
  QfLink links[RANDOM_CHAIN_MAX];
  size_t n_links;
} RandomChain;

/// A chain in one of the 30 keys over the whole vocabulary, quarter by quarter
///
/// Functions follow one another as books list it: tonic to anything, predominant to
/// dominant, applied chords to what they are applied to (common practice).
RandomChain
random_chain(unsigned* seed);

/// The same with any chord after any other
RandomChain
random_heap(unsigned* seed);

/// Numerals in a row, for messages; at least 256 bytes
void
random_chain_write(const RandomChain* chain, char* buffer, size_t size);

/// Write a chain and put it into a score (transfer full); NULL if it cannot be written
QfScore*
random_chain_realise(const RandomChain* chain, QfProfile profile);

#endif // QUINTFALL_TESTS_RANDOM_CHAINS_H
