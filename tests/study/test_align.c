// SPDX-License-Identifier: MIT
#include "align.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

typedef struct {
  const char* a;
  const char* b;
  double      replacing;
} Words;

static double
letter_cost(const size_t a, const size_t b, const void* const data)
{
  const Words* const words = (const Words*)data;
  return words->a[a] == words->b[b] ? 0.0 : words->replacing;
}

static Alignment
align_words(const Words* const words)
{
  Alignment        result = {0};
  const AlignCosts costs  = {letter_cost, words, 1.0, 1.0};
  assert_int_equal(align(strlen(words->a), strlen(words->b), costs, &result), QF_OK);
  return result;
}

typedef struct {
  Words  words;
  double distance;
} DistanceCase;

// Sources: Wagner and Fischer, "The String-to-String Correction Problem", JACM 21(1), 1974, and
// the textbook examples of Jurafsky and Martin, "Speech and Language Processing", chapter 2
// (intention, execution: 5, and 8 where a substitution costs 2); kitten, sitting 3 and Saturday,
// Sunday 3 are the common examples of Levenshtein's distance. From memory.
static const DistanceCase distance_cases[] = {
  {{"intention", "execution", 1.0}, 5.0},
  {{"intention", "execution", 2.0}, 8.0},
  {{"kitten", "sitting", 1.0}, 3.0},
  {{"Saturday", "Sunday", 1.0}, 3.0},
  {{"", "", 1.0}, 0.0},
  {{"", "abc", 1.0}, 3.0},
  {{"abc", "", 1.0}, 3.0},
  {{"abc", "abc", 1.0}, 0.0},
};

static void
test_distances_are_those_of_the_books(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(distance_cases) / sizeof(distance_cases[0]); ++i) {
    const DistanceCase* const row   = &distance_cases[i];
    Alignment                 found = align_words(&row->words);
    if (found.cost != row->distance) {
      fail_msg("%s, %s: %g, not %g", row->words.a, row->words.b, found.cost, row->distance);
    }
    alignment_clear(&found);
  }
}

/// Every item of both sides occurs once and in order
static void
check_order(const Alignment* const found, const size_t n_a, const size_t n_b)
{
  size_t a = 0;
  size_t b = 0;
  for (size_t i = 0; i < found->n_pairs; ++i) {
    const AlignPair pair = found->pairs[i];
    assert_true(pair.a == ALIGN_NONE || pair.a == a);
    assert_true(pair.b == ALIGN_NONE || pair.b == b);
    assert_false(pair.a == ALIGN_NONE && pair.b == ALIGN_NONE);
    a += pair.a != ALIGN_NONE;
    b += pair.b != ALIGN_NONE;
  }
  assert_int_equal(a, n_a);
  assert_int_equal(b, n_b);
}

static void
test_one_missing_item_stands_where_it_is_missing(void** state)
{
  (void)state;
  const Words words = {"abcdefgh", "abdefgh", 1.0};
  Alignment   found = align_words(&words);
  check_order(&found, 8, 7);
  for (size_t i = 0; i < found.n_pairs; ++i) {
    assert_int_equal(found.pairs[i].b == ALIGN_NONE, i == 2);
  }
  alignment_clear(&found);
}

static double
number_cost(const size_t a, const size_t b, const void* const data)
{
  (void)data;
  return a == b ? 0.0 : 1.0;
}

static void
test_long_sequences_are_aligned_in_runs(void** state)
{
  (void)state;
  Alignment        found = {0};
  const AlignCosts costs = {number_cost, NULL, 0.7, 0.7};
  assert_int_equal(align(9000, 9000, costs, &found), QF_OK);
  check_order(&found, 9000, 9000);
  assert_true(found.cost == 0.0);
  alignment_clear(&found);
  assert_int_equal(align(3, 40000, costs, &found), QF_OK);
  check_order(&found, 3, 40000);
  alignment_clear(&found);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_distances_are_those_of_the_books),
    cmocka_unit_test(test_one_missing_item_stands_where_it_is_missing),
    cmocka_unit_test(test_long_sequences_are_aligned_in_runs),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
