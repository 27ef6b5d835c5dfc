// SPDX-License-Identifier: MIT
#include "learned.h"

#include "learned_table.inc"

const float*
qf_learned_weights(void)
{
  return learned_weights;
}
