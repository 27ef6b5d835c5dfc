// SPDX-License-Identifier: MIT
#include "random.h"
#include "rhythm.h"

#include "quintfall/exercise.h"

enum {
  MAX_LEVEL_METRES = 3,
};

/// What a level brings
typedef struct {
  const char*      text;
  unsigned         uses;     ///< Beside those of the levels before
  unsigned         required; ///< Of which one appears
  unsigned         inversions;
  size_t           n_bars;
  QfHarmonicRhythm rhythm;
  int              max_signs;
  bool             has_minor;
  unsigned         foreign;
  size_t           n_foreign;
  bool             modulates;
  QfExerciseGivens givens;
  double           tempo;
  const char*      metres[MAX_LEVEL_METRES];
} Level;

enum {
  ALL_INVERSIONS = QF_INVERSION_FIRST | QF_INVERSION_SECOND | QF_INVERSION_THIRD,
  APPLIED_USES   = QF_USE_APPLIED | QF_USE_APPLIED_LEADING | QF_USE_CHAINS,
  CHROMATIC_USES = QF_USE_MIXTURE | QF_USE_NEAPOLITAN | QF_USE_AUGMENTED_SIXTHS,
  STEPS          = QF_EXERCISE_PASSING | QF_EXERCISE_NEIGHBOUR,
  ALL_FOREIGN    = QF_EXERCISE_PASSING | QF_EXERCISE_NEIGHBOUR | QF_EXERCISE_SUSPENSION,
};

// common practice: the order in which harmony courses bring these things.
static const Level levels[QF_EXERCISE_N_LEVELS] = {
  {"Tonic, subdominant and dominant in root position.",
   0,
   0,
   0,
   4,
   QF_RHYTHM_HALF,
   1,
   false,
   0,
   0,
   false,
   QF_GIVE_OUTER,
   60.0,
   {"4/4", "3/4"}},
  {"First inversions, and triads on the other degrees.",
   QF_USE_SECONDARY,
   QF_USE_SECONDARY,
   QF_INVERSION_FIRST,
   4,
   QF_RHYTHM_MIXED,
   2,
   true,
   0,
   0,
   false,
   QF_GIVE_BASS,
   60.0,
   {"4/4", "3/4"}},
  {"Sevenths in all positions, the cadential six-four, the leading-tone triad.",
   QF_USE_SEVENTHS | QF_USE_CADENTIAL | QF_USE_LEADING_TONE,
   QF_USE_SEVENTHS | QF_USE_CADENTIAL | QF_USE_LEADING_TONE,
   ALL_INVERSIONS,
   4,
   QF_RHYTHM_MIXED,
   3,
   true,
   QF_EXERCISE_PASSING,
   1,
   false,
   QF_GIVE_FIRST_CHORD,
   66.0,
   {"4/4", "3/4"}},
  {"Applied dominants.",
   QF_USE_APPLIED,
   QF_USE_APPLIED,
   ALL_INVERSIONS,
   5,
   QF_RHYTHM_MIXED,
   3,
   true,
   STEPS,
   2,
   false,
   QF_GIVE_FIRST_CHORD,
   66.0,
   {"4/4", "3/4"}},
  {"Applied leading-tone sevenths and chains of applied dominants.",
   QF_USE_APPLIED_LEADING | QF_USE_CHAINS,
   QF_USE_APPLIED_LEADING | QF_USE_CHAINS,
   ALL_INVERSIONS,
   6,
   QF_RHYTHM_MIXED,
   4,
   true,
   ALL_FOREIGN,
   3,
   false,
   QF_GIVE_FIRST_CHORD,
   72.0,
   {"4/4", "3/4", "6/8"}},
  {"Chords borrowed from the parallel key, the Neapolitan.",
   QF_USE_MIXTURE | QF_USE_NEAPOLITAN,
   QF_USE_MIXTURE | QF_USE_NEAPOLITAN,
   ALL_INVERSIONS,
   7,
   QF_RHYTHM_MIXED,
   5,
   true,
   ALL_FOREIGN,
   4,
   false,
   QF_GIVE_FIRST_OUTER,
   72.0,
   {"4/4", "3/4", "6/8"}},
  {"Augmented sixths.",
   QF_USE_AUGMENTED_SIXTHS,
   QF_USE_AUGMENTED_SIXTHS,
   ALL_INVERSIONS,
   8,
   QF_RHYTHM_MIXED,
   6,
   true,
   ALL_FOREIGN,
   5,
   false,
   QF_GIVE_FIRST_OUTER,
   76.0,
   {"4/4", "3/4", "6/8"}},
  {"Modulation to near keys, with everything before.",
   0,
   APPLIED_USES | CHROMATIC_USES,
   ALL_INVERSIONS,
   9,
   QF_RHYTHM_MIXED,
   6,
   true,
   ALL_FOREIGN,
   6,
   true,
   QF_GIVE_NOTHING,
   80.0,
   {"4/4", "3/4", "6/8"}},
};

static int
clamp_level(const int level)
{
  return level < 1 ? 1 : level > QF_EXERCISE_N_LEVELS ? QF_EXERCISE_N_LEVELS : level;
}

const char*
qf_exercise_level_text(const int level)
{
  return levels[clamp_level(level) - 1].text;
}

static void
add_keys(QfExerciseOptions* const options, const Level* const level)
{
  for (int fifths = -level->max_signs; fifths <= level->max_signs; ++fifths) {
    for (int mode = QF_MAJOR; mode <= (level->has_minor ? QF_MINOR : QF_MAJOR); ++mode) {
      QfKey* const key = &options->keys[options->n_keys];
      options->n_keys += !qf_key_from_fifths(fifths, (QfMode)mode, key);
    }
  }
}

QfExerciseOptions
qf_exercise_options(const int number, const uint64_t seed)
{
  const int          at      = clamp_level(number);
  const Level* const level   = &levels[at - 1];
  QfExerciseOptions  options = {
     .seed       = seed,
     .level      = at,
     .required   = level->required,
     .inversions = level->inversions,
     .n_bars     = level->n_bars,
     .rhythm     = level->rhythm,
     .foreign    = level->foreign,
     .n_foreign  = level->n_foreign,
     .modulates  = level->modulates,
     .givens     = level->givens,
     .tempo      = level->tempo,
  };
  for (int i = 0; i < at; ++i) {
    options.uses |= levels[i].uses;
  }
  add_keys(&options, level);

  size_t n_metres = 0;
  while (n_metres < MAX_LEVEL_METRES && level->metres[n_metres]) {
    ++n_metres;
  }
  QfRandom random = random_new(random_seed(seed, 0));
  qf_metre_parse(level->metres[random_below(&random, n_metres)], &options.metre, NULL);
  return options;
}

static QfStatus
check_lengths(const QfExerciseOptions* const options, QfError* const error)
{
  if (!options->n_chords && !options->n_bars) {
    return qf_error_set(error, QF_ERR_RANGE, "say how many chords or how many bars there shall be");
  }
  if (options->n_chords && (options->n_chords < 3 || options->n_chords > QF_EXERCISE_MAX_CHORDS)) {
    return qf_error_set(error, QF_ERR_RANGE, "%zu chords: there can be 3 to %d", options->n_chords,
                        QF_EXERCISE_MAX_CHORDS);
  }
  if (options->n_bars && (options->n_bars < 2 || options->n_bars > QF_EXERCISE_MAX_BARS)) {
    return qf_error_set(error, QF_ERR_RANGE, "%zu bars: there can be 2 to %d", options->n_bars,
                        QF_EXERCISE_MAX_BARS);
  }
  const size_t most = rhythm_capacity(options->metre, options->n_bars);
  if (options->n_bars && options->n_chords &&
      (options->n_chords < options->n_bars || options->n_chords > most)) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "%zu bars of this metre hold %zu to %zu chords, not %zu", options->n_bars,
                        options->n_bars, most, options->n_chords);
  }
  if (!options->n_chords && most > QF_EXERCISE_MAX_CHORDS) {
    return qf_error_set(
      error, QF_ERR_RANGE,
      "%zu bars of this metre could hold %zu chords; there can be %d: ask for fewer "
      "bars, or say the number of chords",
      options->n_bars, most, QF_EXERCISE_MAX_CHORDS);
  }
  return QF_OK;
}

QfStatus
qf_exercise_options_check(const QfExerciseOptions* const options, QfError* const error)
{
  if (options->level < 1 || options->level > QF_EXERCISE_N_LEVELS) {
    return qf_error_set(error, QF_ERR_RANGE, "level %d: there are levels 1 to %d", options->level,
                        QF_EXERCISE_N_LEVELS);
  }
  if (options->uses >> QF_USE_N_BITS || (options->required & ~options->uses)) {
    return qf_error_set(error, QF_ERR_RANGE, "what is required must be among what may be used");
  }
  if (options->uses & QF_USE_CHAINS && !(options->uses & QF_USE_APPLIED)) {
    return qf_error_set(error, QF_ERR_RANGE, "chains are made of applied dominants: allow both");
  }
  if (!options->metre.n_groups) {
    return qf_error_set(error, QF_ERR_RANGE, "there is no metre");
  }
  if (options->n_keys < 1 || options->n_keys > QF_EXERCISE_MAX_KEYS) {
    return qf_error_set(error, QF_ERR_RANGE, "%zu keys to draw from: there can be 1 to %d",
                        options->n_keys, QF_EXERCISE_MAX_KEYS);
  }
  if (!(options->tempo >= 10.0 && options->tempo <= 400.0)) {
    return qf_error_set(error, QF_ERR_RANGE, "the tempo is 10 to 400 quarter notes a minute");
  }
  return check_lengths(options, error);
}
