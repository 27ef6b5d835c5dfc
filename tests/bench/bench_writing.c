// SPDX-License-Identifier: MIT
#include "../../src/partwriting/optimum.h"
#include "../partwriting/random_chains.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { N_CHAINS = 10000, LONGEST = 800, N_RATIOS = 200, FIVE = 5 };

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

static void
print_growth(void)
{
  static const char* const cycle[] = {"I",   "vi",   "V7/V",  "V7", "V42/IV",
                                      "IV6", "ii65", "Cad64", "V7", "vi"};
  QfLink* const            links   = (QfLink*)calloc(LONGEST, sizeof(QfLink));
  for (size_t i = 0; links && i < LONGEST; ++i) {
    links[i].key = (QfKey){{1, 0}, QF_MAJOR};
    qf_numeral_parse(cycle[i % 10U], QF_MAJOR, &links[i].numeral, NULL);
  }
  for (size_t n = 50; links && n <= LONGEST; n *= 2U) {
    const double seconds = seconds_to_write(links, n);
    printf("%4zu chords: %.4f s, %.3f ms a chord\n", n, seconds, 1000.0 * seconds / (double)n);
  }
  free(links);
}

int
main(int argc, char** argv)
{
  const long n = argc > 1 ? strtol(argv[1], NULL, 10) : N_CHAINS;
  print_growth();
  print_visited();
  print_both_ways(n > 0 ? (size_t)n : N_CHAINS);
  return 0;
}
