// SPDX-License-Identifier: MIT
#include "../../src/partwriting/connection.h"

#include <limits.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>

#include <cmocka.h>

enum { N_CHORDS = 3 };

static const char* const chains[] = {
  "C: I ii65 V7",      "a: i Ger65 V", "G: V7/V V7 I", "f: i viio7 i", "D: IV V vi",
  "Bb: V42/IV IV6 V7", "e: N6 V7 VI",  "Ab: I V43 I6", "c#: iv It6 V", "F: vi V65/V V42"};

typedef struct {
  Sonority   sonorities[N_CHORDS];
  VoicedList lists[N_CHORDS];
  Passage    passages[N_CHORDS - 1];
} Search;

static void
list_all(Search* const search, const QfLinks* const links)
{
  static const QfPitch* const nothing[QF_SATB] = {NULL};
  for (size_t i = 0; i < N_CHORDS; ++i) {
    const QfLink* const link = &links->links[i];
    assert_int_equal(sonority_of_numeral(&link->numeral, link->key, &search->sonorities[i], NULL),
                     QF_OK);
    assert_int_equal(
      voiced_list(&search->sonorities[i], STRICTNESS_FULL, nothing, &search->lists[i]), QF_OK);
    assert_in_range(search->lists[i].n_voiced, 1, 300);
  }
  for (size_t i = 0; i + 1U < N_CHORDS; ++i) {
    search->passages[i] = passage_between(&search->sonorities[i], &search->sonorities[i + 1U]);
  }
}

static int
join(const Search* const search, const size_t passage, const Voiced* const a, const Voiced* const b)
{
  Fault fault = FAULT_NONE;
  return connection_cost(&search->passages[passage], a, b, STRICTNESS_FULL, &fault);
}

/// Least cost over every combination of voicings
static int
exhaustive_cost(const Search* const search)
{
  int best = INT_MAX;
  for (size_t i = 0; i < search->lists[0].n_voiced; ++i) {
    const Voiced* const a = &search->lists[0].voiced[i];
    for (size_t k = 0; k < search->lists[1].n_voiced; ++k) {
      const Voiced* const b     = &search->lists[1].voiced[k];
      const int           first = join(search, 0, a, b);
      for (size_t m = 0; first < COST_NEVER && m < search->lists[2].n_voiced; ++m) {
        const Voiced* const c      = &search->lists[2].voiced[m];
        const int           second = join(search, 1, b, c);
        const int           cost   = a->cost + b->cost + c->cost + first + second;
        best                       = second < COST_NEVER && cost < best ? cost : best;
      }
    }
  }
  return best;
}

static const Voiced*
find(const VoicedList* const list, const QfVoicing* const voicing)
{
  for (size_t i = 0; i < list->n_voiced; ++i) {
    bool is_same = true;
    for (size_t v = 0; v < QF_SATB; ++v) {
      is_same &= qf_pitch_equals(list->voiced[i].voicing.pitch[v], voicing->pitch[v]);
    }
    if (is_same) {
      return &list->voiced[i];
    }
  }
  return NULL;
}

static int
cost_of(const Search* const search, const QfVoicing voicings[N_CHORDS])
{
  const Voiced* written[N_CHORDS];
  int           cost = 0;
  for (size_t i = 0; i < N_CHORDS; ++i) {
    written[i] = find(&search->lists[i], &voicings[i]);
    assert_non_null(written[i]);
    cost += written[i]->cost + (i ? join(search, i - 1U, written[i - 1U], written[i]) : 0);
  }
  return cost;
}

/// The dynamic programme finds what trying everything finds
static void
test_the_result_is_the_best_of_all(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(chains) / sizeof(chains[0]); ++i) {
    QfMetre   metre;
    QfLinks   links;
    QfVoicing voicings[N_CHORDS];
    Search    search = {0};
    qf_metre(3, 4, &metre);
    assert_int_equal(qf_links_parse(chains[i], NULL, metre, &links, NULL), QF_OK);
    list_all(&search, &links);
    assert_int_equal(qf_realise(links.links, N_CHORDS, (QfRealiseOptions){0}, voicings, NULL),
                     QF_OK);

    const int found = cost_of(&search, voicings);
    const int best  = exhaustive_cost(&search);
    if (found != best) {
      fail_msg("%s: cost %d, the best is %d", chains[i], found, best);
    }
    for (size_t k = 0; k < N_CHORDS; ++k) {
      voiced_list_clear(&search.lists[k]);
    }
    qf_links_clear(&links);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_the_result_is_the_best_of_all)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
