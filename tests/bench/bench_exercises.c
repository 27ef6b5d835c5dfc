// SPDX-License-Identifier: MIT

/**
   Makes exercises of every level and proves each: `bench_exercises [SEEDS [FIRST]]`.

   Tells how many failed, how many draws were thrown away, and Spearman's rank
   correlation between level and difficulty. One seed in four makes a second
   exercise, of options that no level has: several metres and rhythms, chosen
   degrees, a modulation that leaves or returns; those count for the proof only.
*/

#include "quintfall/exercise.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { VARIED_EVERY = 4 };

typedef struct {
  int    level;
  double total;
} Point;

typedef struct {
  size_t       n;
  size_t       n_failed;
  size_t       n_labels;
  size_t       n_errors;
  size_t       n_warnings;
  size_t       n_links;
  size_t       n_rejected;
  size_t       n_foreign;
  double       seconds;
  QfDifficulty sum;
} Tally;

static double
now_s(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static int
compare_totals(const void* const a, const void* const b)
{
  const double x = ((const Point*)a)->total;
  const double y = ((const Point*)b)->total;
  return (x > y) - (x < y);
}

static int
compare_levels(const void* const a, const void* const b)
{
  return ((const Point*)a)->level - ((const Point*)b)->level;
}

/// Ranks of a sorted array, equal values sharing the mean of theirs
static void
rank(const Point* const points,
     const size_t       n,
     int (*const compare)(const void*, const void*),
     double* const ranks)
{
  for (size_t i = 0; i < n;) {
    size_t end = i;
    while (end < n && !compare(&points[i], &points[end])) {
      ++end;
    }
    for (size_t j = i; j < end; ++j) {
      ranks[j] = 0.5 * (double)(i + end - 1U);
    }
    i = end;
  }
}

/// Spearman's rho: Pearson's coefficient of the ranks
static double
spearman(Point* const points, const size_t n)
{
  double* const ranks = (double*)calloc(n, sizeof(double));
  double        sxy   = 0.0;
  double        sxx   = 0.0;
  double        syy   = 0.0;
  if (!ranks) {
    return 0.0;
  }

  // Ranks by level take the place of the levels once the difficulties are sorted.
  qsort(points, n, sizeof(Point), compare_levels);
  double first[QF_EXERCISE_N_LEVELS + 1] = {0.0};
  rank(points, n, compare_levels, ranks);
  for (size_t i = 0; i < n; ++i) {
    first[points[i].level] = ranks[i];
  }
  qsort(points, n, sizeof(Point), compare_totals);
  rank(points, n, compare_totals, ranks);
  const double mean = 0.5 * (double)(n - 1U);
  for (size_t i = 0; i < n; ++i) {
    const double x = first[points[i].level] - mean;
    const double y = ranks[i] - mean;
    sxy += x * y;
    sxx += x * x;
    syy += y * y;
  }
  free(ranks);
  return sxx > 0.0 && syy > 0.0 ? sxy / __builtin_sqrt(sxx * syy) : 0.0;
}

/// Write the lesson as a file holds it, and read it back, so that nothing is known but its notes
static void
reopen(QfExercise* const made)
{
  char*     json = NULL;
  QfLesson* read = NULL;
  if (!qf_lesson_to_json(made->lesson, &json, NULL) &&
      !qf_lesson_from_json(json, strlen(json), &read, NULL)) {
    qf_lesson_free(made->lesson);
    made->lesson = read;
  }
  free(json);
}

static void
prove(QfExercise* const made, Tally* const tally)
{
  reopen(made);
  QfFindings      findings = {0};
  const QfScore*  score    = qf_lesson_get_score(made->lesson);
  const QfLabels* labels   = qf_lesson_get_labels(made->lesson);
  tally->n_labels += !qf_exercise_labels_hold(made, NULL);
  if (!qf_check(score, labels, QF_PROFILE_COMMON, &findings, NULL)) {
    tally->n_errors += qf_findings_count(&findings, QF_SEVERITY_ERROR) != 0;
    tally->n_warnings += qf_findings_count(&findings, QF_SEVERITY_WARNING);
    qf_findings_clear(&findings);
  }
  tally->n_links += made->n_links;
  tally->n_rejected += made->n_rejected;
  for (size_t p = 0; p < QF_DIFFICULTY_N_PARTS; ++p) {
    tally->sum.points[p] += made->difficulty.points[p];
  }
  tally->sum.total += made->difficulty.total;
}

/// A level's options with metres, rhythms, degrees and modulation of their own
static QfExerciseOptions
vary(QfExerciseOptions options)
{
  static const char* const metres[]  = {"2/4", "3/4", "4/4", "5/4", "2/2", "3/2", "6/8", "9/8"};
  static const unsigned    degrees[] = {0, 1U << 2U | 1U << 6U, 1U << 4U | 1U << 5U, 1U << 5U};
  const uint64_t           n         = options.seed / VARIED_EVERY;

  options.n_metres = 0;
  for (unsigned i = 0; i < 1U + n % 3U; ++i) {
    qf_metre_parse(metres[(n + i) % 8U], &options.metres[options.n_metres++], NULL);
  }
  options.rhythms         = 1U + (unsigned)(n % 15U);
  options.applied_degrees = degrees[n % 4U];
  if (options.level >= 6) {
    options.modulation = (QfModulation)(n % QF_MODULATION_N_KINDS);
    options.n_chords   = 16;
    options.n_bars     = 0;
    options.required   = 0;
  }
  return options;
}

static void
make_one(const QfExerciseOptions options, Tally* const tally, Point* const point)
{
  const int      level = options.level;
  const uint64_t seed  = options.seed;
  QfExercise     made  = {0};
  QfError        error = {0};
  const double   start = now_s();
  ++tally->n;
  if (qf_exercise_make(&options, &made, &error)) {
    ++tally->n_failed;
    printf("level %d seed %llu: %s\n", level, (unsigned long long)seed, error.text);
  } else {
    tally->seconds += now_s() - start;
    prove(&made, tally);
    *point = (Point){level, made.difficulty.total};
  }
  qf_exercise_clear(&made);
}

static void
print_tally(const int level, const Tally* const tally)
{
  char name[24] = "varied";
  if (level) {
    snprintf(name, sizeof(name), "level %d", level);
  }
  const double n = (double)(tally->n - tally->n_failed);
  printf("%s: %zu made, %zu failed, %zu other labels, %zu with errors; each %.1f chords, "
         "%.2f draws thrown away, %.2f warnings, %.1f ms; difficulty %.1f =",
         name, tally->n - tally->n_failed, tally->n_failed, tally->n_labels, tally->n_errors,
         (double)tally->n_links / n, (double)tally->n_rejected / n, (double)tally->n_warnings / n,
         1000.0 * tally->seconds / n, tally->sum.total / n);
  for (int p = 0; p < QF_DIFFICULTY_N_PARTS; ++p) {
    printf(" %s %.1f", qf_difficulty_part_id((QfDifficultyPart)p), tally->sum.points[p] / n);
  }
  printf("\n");
}

int
main(const int argc, char** const argv)
{
  const size_t n_seeds = argc > 1 ? strtoul(argv[1], NULL, 10) : 10000U;
  const size_t first   = argc > 2 ? strtoul(argv[2], NULL, 10) : 1U;
  Point* const points  = (Point*)calloc(n_seeds ? n_seeds : 1U, sizeof(Point));
  Tally        tallies[QF_EXERCISE_N_LEVELS + 1] = {{0}};
  Tally        varied                            = {0};
  size_t       n_bad                             = 0;
  if (!points) {
    return 3;
  }

  for (size_t i = 0; i < n_seeds; ++i) {
    const int               level   = (int)(i % QF_EXERCISE_N_LEVELS) + 1;
    const QfExerciseOptions options = qf_exercise_options(level, first + i);
    make_one(options, &tallies[level], &points[i]);
    if (i / QF_EXERCISE_N_LEVELS % VARIED_EVERY == 0) {
      Point unused;
      make_one(vary(options), &varied, &unused);
    }
  }
  for (int level = 1; level <= QF_EXERCISE_N_LEVELS; ++level) {
    const Tally* const tally = &tallies[level];
    n_bad += tally->n_failed + tally->n_labels + tally->n_errors;
    if (tally->n > tally->n_failed) {
      print_tally(level, tally);
    }
  }
  n_bad += varied.n_failed + varied.n_labels + varied.n_errors;
  print_tally(0, &varied);
  printf("%zu seeds, %zu bad; Spearman's rho of level and difficulty %.3f\n", n_seeds, n_bad,
         spearman(points, n_seeds));
  free(points);
  return n_bad ? 1 : 0;
}
