// SPDX-License-Identifier: MIT
#include "random_chains.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>

#include <cmocka.h>

// Ten thousand chains are tried by tests/bench/bench_writing.c; here as many as the sanitizers
// bear.
enum { N_CHAINS = 120 };

typedef struct {
  size_t n_chains;
  size_t n_impossible;
  size_t n_chords;
  size_t n_warnings;
} Tally;

/// What was written under a profile has none of its errors
static void
check(const RandomChain* const chain, const QfProfile profile, Tally* const tally)
{
  char text[256];
  random_chain_write(chain, text, sizeof(text));
  QfScore* const score = random_chain_realise(chain, profile);
  ++tally->n_chains;
  if (!score) {
    ++tally->n_impossible;
    return;
  }
  QfFindings findings = {0};
  assert_int_equal(qf_check_links(score, chain->links, chain->n_links, profile, &findings, NULL),
                   QF_OK);
  for (size_t i = 0; i < findings.n_findings; ++i) {
    if (findings.findings[i].severity == QF_SEVERITY_ERROR) {
      fail_msg("%s, %s: %s", text, qf_profile_name(profile), findings.findings[i].text);
    }
  }
  tally->n_warnings += qf_findings_count(&findings, QF_SEVERITY_WARNING);
  tally->n_chords += chain->n_links;
  qf_findings_clear(&findings);
  qf_score_free(score);
}

static void
test_what_is_written_passes_the_check(void** state)
{
  (void)state;
  for (int p = 0; p < QF_PROFILE_N_KINDS; ++p) {
    unsigned seed    = 4;
    Tally    orderly = {0};
    Tally    heaped  = {0};
    for (size_t i = 0; i < N_CHAINS; ++i) {
      const RandomChain chain = random_chain(&seed);
      const RandomChain heap  = random_heap(&seed);
      check(&chain, (QfProfile)p, &orderly);
      check(&heap, (QfProfile)p, &heaped);
    }
    print_message("%s: %zu warnings on %zu chords, %zu of %zu impossible; in any order %zu on "
                  "%zu, %zu of %zu impossible\n",
                  qf_profile_name((QfProfile)p), orderly.n_warnings, orderly.n_chords,
                  orderly.n_impossible, orderly.n_chains, heaped.n_warnings, heaped.n_chords,
                  heaped.n_impossible, heaped.n_chains);
    assert_true(20U * orderly.n_impossible < orderly.n_chains);
  }
}

static bool
is_same_chord(const QfNumeral* const a, const QfNumeral* const b, const QfKey key)
{
  QfChord first;
  QfChord second;
  return !qf_numeral_chord(a, key, &first, NULL) && !qf_numeral_chord(b, key, &second, NULL) &&
         first.kind == second.kind && first.inversion == second.inversion &&
         qf_note_name_equals(first.root, second.root);
}

/// The labels of what is written are the chords it was written from, and but for a few that
/// have two names (III and V/VI before VI in minor) the numerals
static void
test_what_is_written_is_labelled_as_it_was_meant(void** state)
{
  (void)state;
  unsigned seed     = 9;
  size_t   n_links  = 0;
  size_t   n_others = 0;
  for (size_t i = 0; i < N_CHAINS; ++i) {
    const RandomChain    chain   = random_chain(&seed);
    const QfLabelOptions options = {.has_key = true, .key = chain.key};
    QfLabels*            labels  = NULL;
    QfScore* const       score   = random_chain_realise(&chain, QF_PROFILE_COMMON);
    char                 text[256];
    random_chain_write(&chain, text, sizeof(text));
    if (!score) {
      continue;
    }
    assert_int_equal(qf_labels_new(score, options, &labels, NULL), QF_OK);
    for (size_t k = 0; k < chain.n_links; ++k) {
      const size_t at = qf_labels_link_at(labels, chain.links[k].start);
      assert_true(at < qf_labels_n_links(labels));
      const QfLabel* const label = qf_labels_get_link(labels, at);
      if (!label->is_known || !is_same_chord(&label->numeral, &chain.links[k].numeral, chain.key)) {
        fail_msg("%s: chord %zu is labelled otherwise", text, k + 1U);
      }
      n_others += !qf_numeral_equals(&label->numeral, &chain.links[k].numeral);
      ++n_links;
    }
    qf_labels_free(labels);
    qf_score_free(score);
  }
  print_message("%zu of %zu numerals come back under another name\n", n_others, n_links);
  assert_true(50U * n_others < n_links);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_what_is_written_passes_the_check),
    cmocka_unit_test(test_what_is_written_is_labelled_as_it_was_meant),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
