// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_EXERCISE_RANDOM_H
#define QUINTFALL_SRC_EXERCISE_RANDOM_H

#include <stddef.h>
#include <stdint.h>

/**
   A generator of whole numbers that is the same on every machine.

   SplitMix64: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom
   number generators", OOPSLA 2014.
*/
typedef struct {
  uint64_t state;
} QfRandom;

/// Start a generator; every seed is good
QfRandom
random_new(uint64_t seed);

/// A seed that follows from another and a number, far from those of its neighbours
uint64_t
random_seed(uint64_t seed, uint64_t number);

uint64_t
random_next(QfRandom* random);

/// 0 to `n` - 1, each as likely as the others; `n` at least 1
uint64_t
random_below(QfRandom* random, uint64_t n);

/// True once in `n` draws on average
int
random_once_in(QfRandom* random, uint64_t n);

/// Index of one of `n` weights, in proportion; `n` if all are zero
size_t
random_weighted(QfRandom* random, const uint64_t* weights, size_t n);

#endif // QUINTFALL_SRC_EXERCISE_RANDOM_H
