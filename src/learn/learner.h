// SPDX-License-Identifier: MIT
// Weights that learn from a task.
#ifndef QUINTFALL_SRC_LEARN_LEARNER_H
#define QUINTFALL_SRC_LEARN_LEARNER_H

#include "task.h"

/// How it is learned
typedef struct {
  const char* task;
  const char* weights;
  const char* out;
  const char* folder;
  int         fold; ///< Left out, or -1
  int         epochs;
  float       rate;
  float       decay;
  float       margin;
  float       hope;
  float       lean;      ///< Added to the cost of a change of key in pieces
  float       textbooks; ///< Weight of a textbook passage against a chorale
  float       chains;    ///< Weight of a chain against a chorale
} Options;

typedef struct {
  float  weights[QF_N_FEATURES];
  float  squares[QF_N_FEATURES];
  double lagged[QF_N_FEATURES]; ///< Changes times the step at which they came
  double n_steps;
} Learner;

/// Go through the task as often as the options say, telling how it goes
void
learner_learn(Learner* learner, const Options* options, const Task* task);

/// A weight as it was on the average while it was learned
float
learner_average(const Learner* learner, size_t i);

/// Lean towards tonicization: more applied chords are found for a few keys missed
void
weights_lean(float* weights, float cost);

/// Tell how well weights do on the pieces that were left out
void
weights_evaluate(const Task* task, const Options* options, const float* weights);

#endif // QUINTFALL_SRC_LEARN_LEARNER_H
