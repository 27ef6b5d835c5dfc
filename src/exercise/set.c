// SPDX-License-Identifier: MIT
#include "random.h"

#include "quintfall/exercise.h"

#include <stdlib.h>

enum {
  MAX_REPEATS     = 200, ///< Exercises in a row that the set has already
  REPEATS_A_FAULT = 50,  ///< A seed that gives none at all counts for so many
};

struct QfExerciseSetImpl {
  QfExerciseOptions options;
  uint64_t          n_drawn;
  uint64_t*         fingerprints;
  size_t            n_fingerprints;
  size_t            capacity;
};

QfExerciseSet*
qf_exercise_set_new(const QfExerciseOptions options)
{
  QfExerciseSet* const set = (QfExerciseSet*)calloc(1, sizeof(QfExerciseSet));
  if (set) {
    set->options = options;
  }
  return set;
}

void
qf_exercise_set_free(QfExerciseSet* const set)
{
  if (set) {
    free(set->fingerprints);
    free(set);
  }
}

static bool
has_fingerprint(const QfExerciseSet* const set, const uint64_t fingerprint)
{
  for (size_t i = 0; i < set->n_fingerprints; ++i) {
    if (set->fingerprints[i] == fingerprint) {
      return true;
    }
  }
  return false;
}

static QfStatus
remember(QfExerciseSet* const set, const uint64_t fingerprint)
{
  if (set->n_fingerprints == set->capacity) {
    const size_t    capacity = set->capacity ? 2U * set->capacity : 64U;
    uint64_t* const grown =
      (uint64_t*)realloc(set->fingerprints, capacity * sizeof(*set->fingerprints));
    if (!grown) {
      return QF_ERR_NO_MEM;
    }
    set->fingerprints = grown;
    set->capacity     = capacity;
  }
  set->fingerprints[set->n_fingerprints++] = fingerprint;
  return QF_OK;
}

QfStatus
qf_exercise_set_next(QfExerciseSet* const set,
                     const QfExerciseFunc go_on,
                     void* const          data,
                     QfExercise* const    result,
                     QfError* const       error)
{
  for (int n_repeats = 0; n_repeats < MAX_REPEATS;) {
    if (go_on && !go_on(data)) {
      return qf_error_set(error, QF_ERR_CANCELLED, "the set was cancelled");
    }
    QfExerciseOptions options = set->options;
    options.seed              = random_seed(set->options.seed, ++set->n_drawn);

    QfExercise     made;
    const QfStatus st = qf_exercise_make(&options, &made, error);
    if (st == QF_ERR_IMPOSSIBLE && set->n_fingerprints) {
      n_repeats += REPEATS_A_FAULT;
      continue;
    }
    if (st) {
      return st;
    }
    if (!has_fingerprint(set, made.fingerprint)) {
      if (remember(set, made.fingerprint)) {
        qf_exercise_clear(&made);
        return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
      }
      *result = made;
      return QF_OK;
    }
    qf_exercise_clear(&made);
    ++n_repeats;
  }
  const size_t n = set->n_fingerprints;
  return qf_error_set(error, QF_ERR_IMPOSSIBLE,
                      "no more than %zu exercise%s of these settings differ%s; allow more kinds of "
                      "chords, inversions, bars, metres or rhythms",
                      n, n == 1U ? "" : "s", n == 1U ? "s" : "");
}
