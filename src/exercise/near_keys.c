// SPDX-License-Identifier: MIT
#include "near_keys.h"

/// A key seen from another
typedef struct {
  int      fifths; ///< More sharps than at home
  QfMode   mode;
  uint64_t weight;
} NearKey;

enum { N_NEAR = 5 };

// Rule: OMT "Modulation": closely related keys differ by at most one sign. Weights are common
// practice: major goes to its dominant first, minor to its relative.
static const NearKey near_keys[2][N_NEAR] = {
  {{1, QF_MAJOR, 6}, {0, QF_MINOR, 4}, {-1, QF_MAJOR, 2}, {1, QF_MINOR, 2}, {-1, QF_MINOR, 2}},
  {{0, QF_MAJOR, 6}, {1, QF_MINOR, 4}, {-1, QF_MINOR, 3}, {-1, QF_MAJOR, 1}, {1, QF_MAJOR, 1}},
};

static QfKey
draw_near_key(const QfKey home, QfRandom* const random)
{
  const NearKey* const table = near_keys[home.mode];
  QfKey                keys[N_NEAR];
  uint64_t             weights[N_NEAR];
  for (size_t i = 0; i < N_NEAR; ++i) {
    const int fifths = qf_key_fifths(home) + table[i].fifths;
    weights[i]       = qf_key_from_fifths(fifths, table[i].mode, &keys[i]) ? 0 : table[i].weight;
  }
  return keys[random_weighted(random, weights, N_NEAR)];
}

KeyPlan
draw_keys(const QfExerciseOptions* const options,
          const QfModulation             modulation,
          QfRandom* const                random)
{
  const QfKey home = options->keys[random_below(random, options->n_keys)];
  KeyPlan     plan = {.keys = {home}, .n_keys = 1};
  if (modulation != QF_MODULATION_STAY) {
    plan.keys[plan.n_keys++] = draw_near_key(home, random);
  }
  if (modulation == QF_MODULATION_RETURN) {
    plan.keys[plan.n_keys++] = home;
  }
  return plan;
}
