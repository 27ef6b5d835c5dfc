// SPDX-License-Identifier: MIT
#include "random.h"

QfRandom
random_new(const uint64_t seed)
{
  return (QfRandom){seed};
}

uint64_t
random_next(QfRandom* const random)
{
  random->state += UINT64_C(0x9E3779B97F4A7C15);

  uint64_t z = random->state;
  z          = (z ^ (z >> 30U)) * UINT64_C(0xBF58476D1CE4E5B9);
  z          = (z ^ (z >> 27U)) * UINT64_C(0x94D049BB133111EB);
  return z ^ (z >> 31U);
}

uint64_t
random_seed(const uint64_t seed, const uint64_t number)
{
  QfRandom first  = {seed};
  QfRandom second = {random_next(&first) + number};
  return random_next(&second);
}

uint64_t
random_below(QfRandom* const random, const uint64_t n)
{
  // The last incomplete run of n would favour small numbers.
  const uint64_t limit = UINT64_MAX - UINT64_MAX % n;
  uint64_t       drawn = random_next(random);
  while (drawn >= limit) {
    drawn = random_next(random);
  }
  return drawn % n;
}

int
random_once_in(QfRandom* const random, const uint64_t n)
{
  return random_below(random, n) == 0;
}

size_t
random_weighted(QfRandom* const random, const uint64_t* const weights, const size_t n)
{
  uint64_t sum = 0;
  for (size_t i = 0; i < n; ++i) {
    sum += weights[i];
  }
  if (!sum) {
    return n;
  }

  uint64_t drawn = random_below(random, sum);
  size_t   i     = 0;
  while (drawn >= weights[i]) {
    drawn -= weights[i++];
  }
  return i;
}
