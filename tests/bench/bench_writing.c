// SPDX-License-Identifier: MIT
#include "../../src/partwriting/optimum.h"
#include "../partwriting/random_chains.h"

#include "quintfall/harmonise.h"

#include <fcntl.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { N_CHAINS = 10000, LONGEST = 800, N_RATIOS = 200, FIVE = 5, N_ROUNDS = 7 };

typedef struct {
  size_t n_chains;
  size_t n_impossible;
  size_t n_chords;
  size_t n_errors;
  size_t n_warnings;
  size_t n_chains_back; ///< Chains that the labels give back whole
  size_t n_links_back;
} Tally;

/// Links whose label has the numeral that was written
static size_t
count_labels(const QfScore* const score, const RandomChain* const chain)
{
  const QfLabelOptions options = {.has_key = true, .key = chain->key};
  QfLabels*            labels  = NULL;
  size_t               n       = 0;
  if (qf_labels_new(score, options, &labels, NULL)) {
    return 0;
  }
  for (size_t i = 0; i < chain->n_links; ++i) {
    const size_t at = qf_labels_link_at(labels, chain->links[i].start);
    if (at == SIZE_MAX) {
      continue;
    }
    const QfLabel* const label = qf_labels_get_link(labels, at);
    n += label->is_known && qf_key_equals(label->key, chain->key) &&
         qf_numeral_equals(&label->numeral, &chain->links[i].numeral);
  }
  qf_labels_free(labels);
  return n;
}

static void
try_chain(const RandomChain* const chain, const QfProfile profile, Tally* const tally)
{
  QfScore* const score = random_chain_realise(chain, profile);
  ++tally->n_chains;
  if (!score) {
    ++tally->n_impossible;
    return;
  }
  QfFindings findings = {0};
  if (!qf_check_links(score, chain->links, chain->n_links, profile, &findings, NULL)) {
    tally->n_errors += qf_findings_count(&findings, QF_SEVERITY_ERROR);
    tally->n_warnings += qf_findings_count(&findings, QF_SEVERITY_WARNING);
  }
  qf_findings_clear(&findings);

  const size_t n_back = count_labels(score, chain);
  tally->n_chords += chain->n_links;
  tally->n_links_back += n_back;
  tally->n_chains_back += n_back == chain->n_links;
  qf_score_free(score);
}

/// Every chain written, checked and labelled
static void
print_both_ways(const size_t n_chains)
{
  for (int p = 0; p < QF_PROFILE_N_KINDS; ++p) {
    unsigned seed  = 11;
    Tally    tally = {0};
    for (size_t i = 0; i < n_chains; ++i) {
      const RandomChain chain = random_chain(&seed);
      try_chain(&chain, (QfProfile)p, &tally);
    }
    printf("%-6s: %zu chains, %zu impossible, %zu chords, %zu errors, %zu warnings; labels give "
           "back %.2f %% of chords, %.2f %% of chains\n",
           qf_profile_name((QfProfile)p), tally.n_chains, tally.n_impossible, tally.n_chords,
           tally.n_errors, tally.n_warnings,
           100.0 * (double)tally.n_links_back / (double)tally.n_chords,
           100.0 * (double)tally.n_chains_back / (double)(tally.n_chains - tally.n_impossible));
  }
}

/// Sequences of voicings there are on five chords against connections looked at
static void
print_visited(void)
{
  unsigned seed  = 3;
  double   least = 1e300;
  size_t   n     = 0;
  while (n < N_RATIOS) {
    const RandomChain chain = random_chain(&seed);
    if (chain.n_links < FIVE) {
      continue;
    }
    const Task   task   = {.links = chain.links, .n_links = FIVE};
    const Policy policy = {.profile = QF_PROFILE_COMMON, .n_voices = QF_SATB};
    Stages       stages = {.policy = policy};
    Failure      failure;
    Ways         ways    = {0};
    double       product = 1.0;
    if (!stages_prepare(&stages, &task, NULL) && !stages_list(&stages, policy) &&
        !stages_look_ahead(&stages, &failure) && !optimum_find(&stages, 1, 0, &ways)) {
      for (size_t i = 0; i < stages.n_stages; ++i) {
        product *= (double)stages.stages[i].list.n_voiced;
      }
      const double ratio = product / (double)stages.n_visited;
      least              = ratio < least ? ratio : least;
    }
    ways_clear(&ways);
    stages_clear(&stages);
    ++n;
  }
  printf("five chords: at least %.0f times fewer connections than sequences, on %d chains\n", least,
         N_RATIOS);
}

static double
seconds_to_write(const QfLink* const links, const size_t n_links)
{
  QfVoicing* const voicings = (QfVoicing*)malloc(n_links * sizeof(QfVoicing));
  const clock_t    start    = clock();
  const QfStatus   st       = qf_realise(links, n_links, (QfRealiseOptions){0}, voicings, NULL);
  const double     seconds  = (double)(clock() - start) / CLOCKS_PER_SEC;
  free(voicings);
  return st ? -1.0 : seconds;
}

static const char* const cycle[] = {"I",   "vi",   "V7/V",  "V7", "V42/IV",
                                    "IV6", "ii65", "Cad64", "V7", "vi"};

enum { CYCLE = sizeof(cycle) / sizeof(cycle[0]) };

static double
quickest_to_write(const QfLink* const links, const size_t n_links)
{
  double best = seconds_to_write(links, n_links);
  for (size_t i = 1; i < N_ROUNDS; ++i) {
    const double seconds = seconds_to_write(links, n_links);
    best                 = seconds < best ? seconds : best;
  }
  return best;
}

static void
print_growth(void)
{
  QfLink* const links  = (QfLink*)calloc(LONGEST, sizeof(QfLink));
  double        before = 0.0;
  for (size_t i = 0; links && i < LONGEST; ++i) {
    links[i].key = (QfKey){{1, 0}, QF_MAJOR};
    qf_numeral_parse(cycle[i % CYCLE], QF_MAJOR, &links[i].numeral, NULL);
  }
  for (size_t n = 50; links && n <= LONGEST; n *= 2U) {
    const double seconds = quickest_to_write(links, n);
    printf("%4zu chords: %.3f ms a chord", n, 1000.0 * seconds / (double)n);
    if (before > 0.0) {
      printf(", %.2f times the time of half as many", seconds / before);
    }
    printf("\n");
    before = seconds;
  }
  free(links);
}

/// Wall time of one run of the program on a chain; negative if it failed
static double
seconds_to_run(char* const chain)
{
  char                       program[]   = QF_PROGRAM;
  char                       realise[]   = "realise";
  char                       key[]       = "--key=C";
  char                       json[]      = "--as=json";
  char                       nowhere[]   = "--output=/dev/null";
  char* const                arguments[] = {program, realise, chain, key, json, nowhere, NULL};
  posix_spawn_file_actions_t actions;
  struct timespec            start;
  struct timespec            end;
  pid_t                      pid    = 0;
  int                        status = -1;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  clock_gettime(CLOCK_MONOTONIC, &start);
  if (!posix_spawn(&pid, program, &actions, NULL, arguments, environ)) {
    waitpid(pid, &status, 0);
  }
  clock_gettime(CLOCK_MONOTONIC, &end);
  posix_spawn_file_actions_destroy(&actions);
  return status
           ? -1.0
           : (double)(end.tv_sec - start.tv_sec) + 1e-9 * (double)(end.tv_nsec - start.tv_nsec);
}

static double
quickest_run(const size_t n_chords)
{
  enum { LONGEST_NUMERAL = 8 };
  char*  chain = (char*)calloc(n_chords, LONGEST_NUMERAL);
  double best  = -1.0;
  for (size_t i = 0; chain && i < n_chords; ++i) {
    strcat(strcat(chain, i ? " " : ""), cycle[i % CYCLE]);
  }
  for (size_t i = 0; chain && i < N_ROUNDS; ++i) {
    const double seconds = seconds_to_run(chain);
    best                 = best < 0.0 || seconds < best ? seconds : best;
  }
  free(chain);
  return best;
}

/// The whole program, start included, on longer and longer chains
static void
print_program(void)
{
  const double one     = quickest_run(1);
  const double hundred = quickest_run(100);
  const double twice   = quickest_run(200);
  if (one <= 0.0 || hundred <= 0.0 || twice <= 0.0) {
    printf("the program could not be run\n");
    return;
  }
  printf("program on 100 chords: %.2f times a run on one chord; 200 chords: %.2f times 100\n",
         hundred / one, twice / hundred);
}

/// A melody of sixteen notes harmonised, against writing out the chain that is found
static void
print_harmonising(void)
{
  // A scale in quarters that wanders and closes
  static const int steps[] = {30, 30, 31, 32, 32, 31, 30, 29, 28, 28, 29, 30, 29, 28, 27, 28};
  enum { N_NOTES = sizeof(steps) / sizeof(steps[0]) };

  QfGivenNote notes[N_NOTES];
  for (size_t i = 0; i < N_NOTES; ++i) {
    notes[i] = (QfGivenNote){.start    = qf_time((int64_t)i, 4),
                             .duration = qf_time(1, 4),
                             .pitch    = qf_pitch_from_step(steps[i] + 7, 0)};
  }
  QfHarmoniseOptions options = {.key        = {{0, 0}, QF_MAJOR},
                                .vocabulary = QF_VOCABULARY_CHROMATIC,
                                .profile    = QF_PROFILE_COMMON,
                                .n_apart    = 3};
  qf_metre(4, 4, &options.metre);
  for (options.n_best = 1; options.n_best <= QF_HARMONISE_MAX_BEST; options.n_best *= 4U) {
    QfHarmonies   harmonies = {0};
    const clock_t start     = clock();
    if (qf_harmonise(notes, N_NOTES, options, &harmonies, NULL)) {
      printf("the melody could not be harmonised\n");
      return;
    }
    const double seconds = (double)(clock() - start) / CLOCKS_PER_SEC;
    const double alone   = quickest_to_write(harmonies.harmonies[0].links, N_NOTES);
    printf("16 notes, whole vocabulary, %2zu best: %.1f ms, %.1f times writing out one chain\n",
           harmonies.n_harmonies, 1000.0 * seconds, seconds / alone);
    qf_harmonies_clear(&harmonies);
  }
}

int
main(int argc, char** argv)
{
  const long n = argc > 1 ? strtol(argv[1], NULL, 10) : N_CHAINS;
  print_growth();
  print_program();
  print_harmonising();
  print_visited();
  print_both_ways(n > 0 ? (size_t)n : N_CHAINS);
  return 0;
}
