// SPDX-License-Identifier: MIT
#include "random.h"
#include "rhythm.h"
#include "words.h"

#include "quintfall/exercise.h"

enum {
  MAX_LEVEL_METRES = 3,
  LEAST_TO_LEAVE   = 7,  ///< Two chords, the pivot, four in the new key
  LEAST_TO_RETURN  = 11, ///< Four more at home
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
  QfModulation     modulation;
  QfExerciseGivens givens;
  double           tempo;
  const char*      metres[MAX_LEVEL_METRES];
} Level;

enum {
  SEVENTH_USES   = QF_USE_SEVENTHS | QF_USE_CADENTIAL | QF_USE_LEADING_TONE,
  ALL_INVERSIONS = QF_INVERSION_FIRST | QF_INVERSION_SECOND | QF_INVERSION_THIRD,
  APPLIED_USES   = QF_USE_APPLIED | QF_USE_APPLIED_LEADING | QF_USE_CHAINS,
  CHROMATIC_USES = QF_USE_MIXTURE | QF_USE_NEAPOLITAN | QF_USE_AUGMENTED_SIXTHS,
  STEPS          = QF_EXERCISE_PASSING | QF_EXERCISE_NEIGHBOUR,
  ALL_FOREIGN    = QF_EXERCISE_PASSING | QF_EXERCISE_NEIGHBOUR | QF_EXERCISE_SUSPENSION,
};

// common practice: the order in which harmony courses bring these things.
static const Level levels[QF_EXERCISE_N_LEVELS] = {
  {.text      = "Tonic, subdominant and dominant in root position.",
   .n_bars    = 4,
   .rhythm    = QF_RHYTHM_MIXED,
   .max_signs = 1,
   .givens    = QF_GIVE_OUTER,
   .tempo     = 60.0,
   .metres    = {"4/4", "3/4"}},
  {.text       = "First inversions, and triads on the other degrees.",
   .uses       = QF_USE_SECONDARY,
   .required   = QF_USE_SECONDARY,
   .inversions = QF_INVERSION_FIRST,
   .n_bars     = 4,
   .rhythm     = QF_RHYTHM_MIXED,
   .max_signs  = 2,
   .has_minor  = true,
   .givens     = QF_GIVE_BASS,
   .tempo      = 60.0,
   .metres     = {"4/4", "3/4"}},
  {.text       = "Sevenths in all positions, the cadential six-four, the leading-tone triad.",
   .uses       = SEVENTH_USES,
   .required   = SEVENTH_USES,
   .inversions = ALL_INVERSIONS,
   .n_bars     = 4,
   .rhythm     = QF_RHYTHM_MIXED,
   .max_signs  = 3,
   .has_minor  = true,
   .foreign    = QF_EXERCISE_PASSING,
   .n_foreign  = 1,
   .givens     = QF_GIVE_FIRST_CHORD,
   .tempo      = 66.0,
   .metres     = {"4/4", "3/4"}},
  {.text       = "Applied dominants.",
   .uses       = QF_USE_APPLIED,
   .required   = QF_USE_APPLIED,
   .inversions = ALL_INVERSIONS,
   .n_bars     = 5,
   .rhythm     = QF_RHYTHM_MIXED,
   .max_signs  = 3,
   .has_minor  = true,
   .foreign    = STEPS,
   .n_foreign  = 2,
   .givens     = QF_GIVE_FIRST_CHORD,
   .tempo      = 66.0,
   .metres     = {"4/4", "3/4"}},
  {.text       = "Applied leading-tone sevenths and chains of applied dominants.",
   .uses       = QF_USE_APPLIED_LEADING | QF_USE_CHAINS,
   .required   = QF_USE_APPLIED_LEADING | QF_USE_CHAINS,
   .inversions = ALL_INVERSIONS,
   .n_bars     = 6,
   .rhythm     = QF_RHYTHM_MIXED,
   .max_signs  = 4,
   .has_minor  = true,
   .foreign    = ALL_FOREIGN,
   .n_foreign  = 3,
   .givens     = QF_GIVE_FIRST_CHORD,
   .tempo      = 72.0,
   .metres     = {"4/4", "3/4", "6/8"}},
  {.text       = "Chords borrowed from the parallel key, the Neapolitan.",
   .uses       = QF_USE_MIXTURE | QF_USE_NEAPOLITAN,
   .required   = QF_USE_MIXTURE | QF_USE_NEAPOLITAN,
   .inversions = ALL_INVERSIONS,
   .n_bars     = 8,
   .rhythm     = QF_RHYTHM_MIXED,
   .max_signs  = 5,
   .has_minor  = true,
   .foreign    = ALL_FOREIGN,
   .n_foreign  = 4,
   .givens     = QF_GIVE_FIRST_OUTER,
   .tempo      = 72.0,
   .metres     = {"4/4", "3/4", "6/8"}},
  {.text       = "Augmented sixths.",
   .uses       = QF_USE_AUGMENTED_SIXTHS,
   .required   = QF_USE_AUGMENTED_SIXTHS,
   .inversions = ALL_INVERSIONS,
   .n_bars     = 9,
   .rhythm     = QF_RHYTHM_MIXED,
   .max_signs  = 6,
   .has_minor  = true,
   .foreign    = ALL_FOREIGN,
   .n_foreign  = 5,
   .givens     = QF_GIVE_FIRST_OUTER,
   .tempo      = 76.0,
   .metres     = {"4/4", "3/4", "6/8"}},
  {.text       = "Modulation to near keys, often and home again, with everything before.",
   .required   = APPLIED_USES | CHROMATIC_USES,
   .inversions = ALL_INVERSIONS,
   .n_bars     = 10,
   .rhythm     = QF_RHYTHM_MIXED,
   .max_signs  = 6,
   .has_minor  = true,
   .foreign    = ALL_FOREIGN,
   .n_foreign  = 6,
   .modulation = QF_MODULATION_EITHER,
   .givens     = QF_GIVE_NOTHING,
   .tempo      = 80.0,
   .metres     = {"4/4", "3/4", "6/8"}},
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
     .rhythms    = 1U << (unsigned)level->rhythm,
     .foreign    = level->foreign,
     .n_foreign  = level->n_foreign,
     .modulation = level->modulation,
     .givens     = level->givens,
     .tempo      = level->tempo,
  };
  for (int i = 0; i < at; ++i) {
    options.uses |= levels[i].uses;
  }
  add_keys(&options, level);

  while (options.n_metres < MAX_LEVEL_METRES && level->metres[options.n_metres]) {
    qf_metre_parse(level->metres[options.n_metres], &options.metres[options.n_metres], NULL);
    ++options.n_metres;
  }
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
  return QF_OK;
}

/// Most chords that bars of a metre get in one of the rhythms asked for
static size_t
most_chords(const QfExerciseOptions* const options, const QfMetre metre)
{
  const unsigned full = (1U << QF_RHYTHM_BEATS) | (1U << QF_RHYTHM_MIXED);
  const size_t   most = rhythm_capacity(metre, options->n_bars);
  const size_t   half = 2U * options->n_bars - 1U;
  return options->rhythms & full                     ? most
         : options->rhythms & (1U << QF_RHYTHM_HALF) ? (half < most ? half : most)
                                                     : options->n_bars;
}

/// Whether the chords have room in a metre
static QfStatus
check_metre(const QfExerciseOptions* const options, const QfMetre metre, QfError* const error)
{
  const size_t most = rhythm_capacity(metre, options->n_bars);
  char         name[32];
  qf_metre_write(metre, name, sizeof(name));
  if (!metre.n_groups) {
    return qf_error_set(error, QF_ERR_RANGE, "there is no metre");
  }
  if (!options->n_bars) {
    return QF_OK;
  }
  if (options->n_chords && (options->n_chords < options->n_bars || options->n_chords > most)) {
    return qf_error_set(error, QF_ERR_RANGE, "%zu bars of %s hold %zu to %zu chords, not %zu",
                        options->n_bars, name, options->n_bars, most, options->n_chords);
  }
  if (!options->n_chords && most_chords(options, metre) > QF_EXERCISE_MAX_CHORDS) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "%zu bars of %s could hold %zu chords; there can be %d: ask for fewer "
                        "bars, or say the number of chords",
                        options->n_bars, name, most, QF_EXERCISE_MAX_CHORDS);
  }
  return QF_OK;
}

/// Whether the chords are enough to go where they are to
static QfStatus
check_modulation(const QfExerciseOptions* const options, QfError* const error)
{
  size_t n_chords = options->n_chords;
  for (size_t i = 0; !options->n_chords && i < options->n_metres; ++i) {
    const size_t most = most_chords(options, options->metres[i]);
    n_chords          = most > n_chords ? most : n_chords;
  }
  if (options->modulation != QF_MODULATION_STAY && n_chords < LEAST_TO_LEAVE) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "%zu chords cannot leave a key and close in another: "
                        "that takes %d at least",
                        n_chords, LEAST_TO_LEAVE);
  }
  if (options->modulation == QF_MODULATION_RETURN && n_chords < LEAST_TO_RETURN) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "%zu chords cannot close in another key and come home again: "
                        "that takes %d at least",
                        n_chords, LEAST_TO_RETURN);
  }
  return QF_OK;
}

/// Whether any of the degrees chosen can be tonicized in any of the keys
static QfStatus
check_degrees(const QfExerciseOptions* const options, QfError* const error)
{
  unsigned there_are = 0;
  for (size_t i = 0; i < options->n_keys; ++i) {
    there_are |= words_target_degrees(options->keys[i].mode);
  }
  if (!(options->uses & APPLIED_USES) || !options->applied_degrees ||
      options->applied_degrees & there_are) {
    return QF_OK;
  }
  return qf_error_set(error, QF_ERR_RANGE,
                      "none of the degrees chosen has an applied dominant in these keys: "
                      "major has ii, iii, IV, V, vi, minor III, iv, V, VI, VII");
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
  if (options->n_metres < 1 || options->n_metres > QF_EXERCISE_MAX_METRES) {
    return qf_error_set(error, QF_ERR_RANGE, "%zu metres to draw from: there can be 1 to %d",
                        options->n_metres, QF_EXERCISE_MAX_METRES);
  }
  if (!options->rhythms || options->rhythms >> QF_RHYTHM_N_KINDS) {
    return qf_error_set(error, QF_ERR_RANGE, "say how often the chords shall change");
  }
  if (options->n_keys < 1 || options->n_keys > QF_EXERCISE_MAX_KEYS) {
    return qf_error_set(error, QF_ERR_RANGE, "%zu keys to draw from: there can be 1 to %d",
                        options->n_keys, QF_EXERCISE_MAX_KEYS);
  }
  if (!(options->tempo >= 10.0 && options->tempo <= 400.0)) {
    return qf_error_set(error, QF_ERR_RANGE, "the tempo is 10 to 400 quarter notes a minute");
  }
  QfStatus st = check_lengths(options, error);
  for (size_t i = 0; !st && i < options->n_metres; ++i) {
    st = check_metre(options, options->metres[i], error);
  }
  st = st ? st : check_modulation(options, error);
  return st ? st : check_degrees(options, error);
}
