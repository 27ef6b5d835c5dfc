// SPDX-License-Identifier: MIT
#include "divisions.h"

bool
divisions_refine(int64_t* const divisions, const QfTime time, const int64_t most)
{
  const int64_t den = qf_time_mul(time, (QfTime){4, 1}).den;
  int64_t       a   = *divisions;
  int64_t       b   = den;
  while (b) {
    const int64_t rest = a % b;
    a                  = b;
    b                  = rest;
  }
  if (den > most || *divisions / a * den > most) {
    return false;
  }
  *divisions = *divisions / a * den;
  return true;
}
