// SPDX-License-Identifier: MIT
#include "align.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

#define MAX_CELLS ((size_t)16U << 20U)

typedef enum { STEP_PAIR, STEP_MISSING, STEP_EXTRA } Step;

/// Parts of both sequences to be aligned with each other
typedef struct {
  size_t first_a;
  size_t n_a;
  size_t first_b;
  size_t n_b;
} Run;

/// Fill one row of costs from the one above, and remember the steps
static void
fill_row(const Run               run,
         const AlignCosts* const costs,
         const size_t            row,
         const double* const     above,
         double* const           here,
         uint8_t* const          steps)
{
  here[0]  = above[0] + costs->missing;
  steps[0] = STEP_MISSING;
  for (size_t b = 1; b <= run.n_b; ++b) {
    const double pair =
      above[b - 1U] + costs->replace(run.first_a + row - 1U, run.first_b + b - 1U, costs->data);
    const double missing = above[b] + costs->missing;
    const double extra   = here[b - 1U] + costs->extra;
    here[b]              = pair;
    steps[b]             = STEP_PAIR;
    if (missing < here[b]) {
      here[b]  = missing;
      steps[b] = STEP_MISSING;
    }
    if (extra < here[b]) {
      here[b]  = extra;
      steps[b] = STEP_EXTRA;
    }
  }
}

/// Follow the steps back from the end; the pairs come out in order
static void
trace(const Run run, const uint8_t* const steps, Alignment* const result)
{
  AlignPair* const first = &result->pairs[result->n_pairs];
  size_t           n     = 0;
  size_t           a     = run.n_a;
  size_t           b     = run.n_b;
  while (a || b) {
    const Step step  = (Step)steps[a * (run.n_b + 1U) + b];
    const bool has_a = step != STEP_EXTRA;
    const bool has_b = step != STEP_MISSING;
    a -= has_a;
    b -= has_b;
    first[n++] =
      (AlignPair){has_a ? run.first_a + a : ALIGN_NONE, has_b ? run.first_b + b : ALIGN_NONE};
  }
  for (size_t i = 0; i < n / 2U; ++i) {
    const AlignPair swapped = first[i];
    first[i]                = first[n - 1U - i];
    first[n - 1U - i]       = swapped;
  }
  result->n_pairs += n;
}

static QfStatus
align_run(const Run run, const AlignCosts* const costs, Alignment* const result)
{
  const size_t   width = run.n_b + 1U;
  double* const  rows  = (double*)malloc(2U * width * sizeof(double));
  uint8_t* const steps = (uint8_t*)malloc((run.n_a + 1U) * width);
  if (!rows || !steps) {
    free(rows);
    free(steps);
    return QF_ERR_NO_MEM;
  }

  for (size_t b = 0; b < width; ++b) {
    rows[b]  = (double)b * costs->extra;
    steps[b] = STEP_EXTRA;
  }
  for (size_t a = 1; a <= run.n_a; ++a) {
    const size_t here = a % 2U;
    fill_row(run, costs, a, &rows[(1U - here) * width], &rows[here * width], &steps[a * width]);
  }
  result->cost += rows[(run.n_a % 2U) * width + run.n_b];
  trace(run, steps, result);
  free(rows);
  free(steps);
  return QF_OK;
}

QfStatus
align(const size_t n_a, const size_t n_b, const AlignCosts costs, Alignment* const result)
{
  *result       = (Alignment){0};
  result->pairs = (AlignPair*)calloc(n_a + n_b + 1U, sizeof(AlignPair));
  if (!result->pairs) {
    return QF_ERR_NO_MEM;
  }

  size_t n_runs = 1;
  while (n_runs < n_a && (n_a / n_runs + 2U) * (n_b / n_runs + 2U) > MAX_CELLS) {
    n_runs *= 2U;
  }
  QfStatus st = QF_OK;
  for (size_t i = 0; !st && i < n_runs; ++i) {
    const size_t from_a = n_a * i / n_runs;
    const size_t from_b = n_b * i / n_runs;
    const Run    run    = {from_a, n_a * (i + 1U) / n_runs - from_a, from_b,
                           n_b * (i + 1U) / n_runs - from_b};
    st                  = align_run(run, &costs, result);
  }
  if (st) {
    alignment_clear(result);
  }
  return st;
}

void
alignment_clear(Alignment* const alignment)
{
  free(alignment->pairs);
  *alignment = (Alignment){0};
}
