// SPDX-License-Identifier: MIT
#include "../../src/partwriting/optimum.h"

#include "quintfall/writing.h"

#include <limits.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum {
  N_CHAINS    = 300,
  MAX_CHORDS  = 5,
  MAX_PRODUCT = 40000, ///< Sequences of voicings that are tried one by one
  MAX_GIVENS  = 2 * MAX_CHORDS,
  WINNERS     = 4,
};

// The whole vocabulary, in major and in minor.
static const char* const words[2][24] = {
  {"I",    "I6",     "ii",   "ii6",     "ii65", "iii",   "IV",    "IV6",
   "V",    "V6",     "V7",   "V65",     "V43",  "V42",   "vi",    "viio6",
   "V7/V", "V65/ii", "IV64", "viio7/V", "N6",   "Ger65", "Cad64", "vii/o7"},
  {"i",     "i6",   "iio6",    "ii/o65", "III", "iv",   "iv6",   "V",
   "V6",    "V7",   "V65",     "V43",    "V42", "VI",   "viio7", "viio6",
   "V7/iv", "V7/V", "V65/III", "It6",    "N6",  "Fr43", "Cad64", "i64"}};

static unsigned
draw(unsigned* const seed, const unsigned n)
{
  *seed = *seed * 1664525U + 1013904223U;
  return (*seed >> 8U) % n;
}

typedef struct {
  QfLink links[MAX_CHORDS];
  size_t n_links;
  QfKept kept[MAX_GIVENS];
  size_t n_kept;
} Chain;

static Chain
draw_chain(unsigned* const seed)
{
  Chain        chain = {.n_links = 2U + draw(seed, MAX_CHORDS - 1U)};
  const QfMode mode  = draw(seed, 2) ? QF_MINOR : QF_MAJOR;
  QfKey        key;
  assert_int_equal(qf_key_from_fifths((int)draw(seed, 15) - 7, mode, &key), QF_OK);
  for (size_t i = 0; i < chain.n_links; ++i) {
    chain.links[i].key      = key;
    chain.links[i].start    = qf_time((int64_t)i, 4);
    chain.links[i].duration = qf_time(1, 4);
    assert_int_equal(
      qf_numeral_parse(words[mode][draw(seed, 24)], mode, &chain.links[i].numeral, NULL), QF_OK);
  }
  return chain;
}

/// Sequences of voicings there are
static double
product_of(const Stages* const stages)
{
  double product = 1.0;
  for (size_t i = 0; i < stages->n_stages; ++i) {
    product *= (double)stages->stages[i].list.n_voiced;
  }
  return product;
}

/// Give notes of random voicings until few enough sequences are left to try them all
static bool
draw_givens(unsigned* const seed,
            Chain* const    chain,
            Task* const     task,
            Stages* const   stages,
            const Policy    policy)
{
  for (;;) {
    size_t widest = 0;
    for (size_t i = 1; i < stages->n_stages; ++i) {
      widest = stages->stages[i].list.n_voiced > stages->stages[widest].list.n_voiced ? i : widest;
    }
    const VoicedList* const list = &stages->stages[widest].list;
    if (!list->n_voiced || product_of(stages) <= MAX_PRODUCT) {
      return list->n_voiced > 0;
    }
    if (chain->n_kept == MAX_GIVENS) {
      return false;
    }
    const size_t  voice          = draw(seed, (unsigned)policy.n_voices);
    const QfPitch pitch          = list->voiced[draw(seed, (unsigned)list->n_voiced)].pitch[voice];
    chain->kept[chain->n_kept++] = (QfKept){widest, voice, pitch};
    task->n_kept                 = chain->n_kept;
    assert_int_equal(stages_list(stages, policy), QF_OK);
  }
}

typedef struct {
  Stages* stages;
  size_t  voicings[MAX_CHORDS];
  size_t  n_tried;
  size_t  n_best;
  int     best[WINNERS + 1]; ///< Costs in order
} Exhaustive;

static void
note_cost(Exhaustive* const search, const int cost)
{
  ++search->n_tried;
  if (cost >= COST_NEVER) {
    return;
  }
  size_t at = search->n_best;
  for (; at > 0 && search->best[at - 1U] > cost; --at) {
    search->best[at] = search->best[at - 1U];
  }
  search->best[at] = cost;
  search->n_best   = search->n_best < WINNERS ? search->n_best + 1U : WINNERS;
}

/// Every sequence of voicings, one by one, nothing left out
static void
try_everything(Exhaustive* const search, const size_t stage)
{
  if (stage == search->stages->n_stages) {
    note_cost(search, optimum_cost(search->stages, search->voicings));
    return;
  }
  for (size_t i = 0; i < search->stages->stages[stage].list.n_voiced; ++i) {
    search->voicings[stage] = i;
    try_everything(search, stage + 1U);
  }
}

static void
check_chain(const Chain* const chain, Stages* const stages, size_t* const n_possible)
{
  Exhaustive search = {.stages = stages};
  try_everything(&search, 0);
  assert_true((double)search.n_tried == product_of(stages));

  Failure        failure = {0};
  Ways           ways    = {0};
  const QfStatus st      = stages_look_ahead(stages, &failure);
  if (st) {
    assert_int_equal(st, QF_ERR_IMPOSSIBLE);
    assert_int_equal(search.n_best, 0);
    return;
  }
  assert_int_equal(optimum_find(stages, WINNERS, 0, &ways), QF_OK);
  assert_int_equal(ways.n_ways, search.n_best);
  for (size_t i = 0; i < ways.n_ways; ++i) {
    if (ways.ways[i].cost != search.best[i]) {
      fail_msg("%zu chords, way %zu: cost %d, the best is %d", chain->n_links, i + 1U,
               ways.ways[i].cost, search.best[i]);
    }
    assert_int_equal(optimum_cost(stages, ways.ways[i].voicings), ways.ways[i].cost);
    for (size_t k = 0; k < i; ++k) {
      assert_memory_not_equal(ways.ways[i].voicings, ways.ways[k].voicings,
                              stages->n_stages * sizeof(size_t));
    }
  }
  ++*n_possible;
  ways_clear(&ways);
}

/// The search finds what trying everything finds: the best, and the next best
static void
test_the_results_are_the_best_of_all(void** state)
{
  (void)state;
  unsigned seed       = 20;
  size_t   n_possible = 0;
  size_t   n_checked  = 0;
  for (size_t i = 0; i < N_CHAINS; ++i) {
    Chain             chain                   = draw_chain(&seed);
    const QfProfile   profile                 = (QfProfile)(i % QF_PROFILE_N_KINDS);
    const Policy      policy                  = {.profile     = profile,
                                                 .n_voices    = i % 10U == 0   ? 3U
                                                                : i % 10U == 1 ? 5U
                                                                               : 4U,
                                                 .is_keyboard = i % 7U == 0,
                                                 .is_wide     = profile == QF_PROFILE_FREE};
    static const bool on_downbeat[MAX_CHORDS] = {true, false, true, false, true};
    const QfDoubling  doubling                = {1, 1};
    Task              task = {.links = chain.links, .n_links = chain.n_links, .kept = chain.kept};
    task.on_downbeat       = i % 2U ? on_downbeat : NULL;
    task.doublings         = &doubling;
    task.n_doublings       = i % 5U == 0;
    Stages stages          = {.policy = policy};
    assert_int_equal(stages_prepare(&stages, &task, NULL), QF_OK);
    assert_int_equal(stages_list(&stages, policy), QF_OK);
    if (draw_givens(&seed, &chain, &task, &stages, policy)) {
      check_chain(&chain, &stages, &n_possible);
      ++n_checked;
    }
    stages_clear(&stages);
  }
  print_message("%zu chains tried in full, %zu of them possible\n", n_checked, n_possible);
  assert_true(n_checked > 200 && n_possible > 100);
}

typedef struct {
  const char* chain;
  QfKept      kept[6];
  size_t      n_kept;
  size_t      n_clash;
  size_t      clash[4];
} ClashCase;

// Rules: parallel octaves, and octaves in contrary motion between the outer voices (IBMT 10b,
// OMT): over root positions the soprano alone decides, whatever octave the bass is in. A doubled
// leading tone, crossed voices (all sources).
static const ClashCase clashes[] = {
  {"C: I ii V I",
   {{3, 0, {0, 0, 5}}, {0, 0, {0, 0, 5}}, {0, 3, {0, 0, 3}}, {1, 0, {1, 0, 5}}, {1, 3, {1, 0, 3}}},
   5,
   2,
   {1, 3}},
  {"C: I V7 I",
   {{0, 0, {4, 0, 4}}, {1, 0, {6, 0, 4}}, {1, 2, {6, 0, 3}}, {2, 3, {0, 0, 3}}},
   4,
   2,
   {1, 2}},
  {"C: I", {{0, 0, {0, 0, 4}}, {0, 1, {4, 0, 4}}, {0, 3, {0, 0, 3}}}, 3, 2, {0, 1}},
};

static void
test_a_clash_is_the_smallest(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(clashes) / sizeof(clashes[0]); ++i) {
    const ClashCase* const row = &clashes[i];
    QfMetre                metre;
    QfLinks                links;
    QfClash                clash    = {0};
    QfWritings             writings = {0};
    QfError                error    = {0};
    qf_metre(4, 4, &metre);
    assert_int_equal(qf_links_parse(row->chain, NULL, metre, &links, NULL), QF_OK);
    const QfWriteOptions options = {
      .profile = QF_PROFILE_COMMON, .kept = row->kept, .n_kept = row->n_kept};
    assert_int_equal(qf_write(links.links, links.n_links, options, &writings, &clash, &error),
                     QF_ERR_IMPOSSIBLE);
    if (clash.n_kept != row->n_clash ||
        memcmp(clash.kept, row->clash, row->n_clash * sizeof(size_t)) != 0) {
      fail_msg("%s: %zu givens clash: %s", row->chain, clash.n_kept, error.text);
    }
    assert_non_null(strstr(error.text, "can't hold together"));
    qf_links_clear(&links);
  }
}

/// Whatever else is given around it: here every outer voice of a long chain
static void
test_a_clash_is_found_among_many_givens(void** state)
{
  (void)state;
  enum { N = 60, WHERE = 33 }; // V7, four chords into the cycle

  static const char* const cycle[] = {"I",   "vi",   "V7/V",  "V7", "V42/IV",
                                      "IV6", "ii65", "Cad64", "V7", "vi"};

  QfLink links[N];
  QfKept kept[2 * N + 2];
  size_t n_kept = 0;
  for (size_t i = 0; i < N; ++i) {
    links[i] = (QfLink){
      .key = {{0, 0}, QF_MAJOR}, .start = qf_time((int64_t)i, 4), .duration = qf_time(1, 4)};
    assert_int_equal(qf_numeral_parse(cycle[i % 10U], QF_MAJOR, &links[i].numeral, NULL), QF_OK);
  }
  QfWritings     free_ones = {0};
  QfWriteOptions options   = {.profile = QF_PROFILE_COMMON};
  assert_int_equal(qf_write(links, N, options, &free_ones, NULL, NULL), QF_OK);
  for (size_t i = 0; i < N; ++i) {
    const QfPitch* const pitches = &free_ones.writings[0].pitches[i * QF_SATB];
    kept[n_kept++]               = (QfKept){i, 0, pitches[0]};
    kept[n_kept++]               = (QfKept){i, 3, pitches[3]};
  }
  qf_writings_clear(&free_ones);
  kept[n_kept++] = (QfKept){WHERE, 1, {6, 0, 4}}; // The leading tone in both (all sources)
  kept[n_kept++] = (QfKept){WHERE, 2, {6, 0, 3}};

  QfWritings writings = {0};
  QfClash    clash    = {0};
  options.kept        = kept;
  options.n_kept      = n_kept;
  assert_int_equal(qf_write(links, N, options, &writings, &clash, NULL), QF_ERR_IMPOSSIBLE);
  assert_true(clash.n_kept > 0 && clash.n_kept <= 2);
  for (size_t i = 0; i < clash.n_kept; ++i) {
    assert_int_equal(kept[clash.kept[i]].link, WHERE);
  }

  // It cannot be written with the clash alone, and without any of it that clash is gone
  QfKept few[2];
  for (size_t i = 0; i < clash.n_kept; ++i) {
    few[i] = kept[clash.kept[i]];
  }
  options.kept   = few;
  options.n_kept = clash.n_kept;
  assert_int_equal(qf_write(links, N, options, &writings, NULL, NULL), QF_ERR_IMPOSSIBLE);
  options.n_kept = clash.n_kept - 1U;
  assert_int_equal(qf_write(links, N, options, &writings, NULL, NULL), QF_OK);
  qf_writings_clear(&writings);
}

static void
test_two_notes_in_one_voice_clash(void** state)
{
  (void)state;
  QfMetre      metre;
  QfLinks      links;
  QfClash      clash    = {0};
  QfWritings   writings = {0};
  QfError      error    = {0};
  const QfKept kept[]   = {{1, 0, {6, 0, 4}}, {0, 0, {0, 0, 5}}, {1, 0, {1, 0, 5}}};
  qf_metre(4, 4, &metre);
  assert_int_equal(qf_links_parse("C: I V", NULL, metre, &links, NULL), QF_OK);
  const QfWriteOptions options = {.profile = QF_PROFILE_FREE, .kept = kept, .n_kept = 3};
  assert_int_equal(qf_write(links.links, 2, options, &writings, &clash, &error), QF_ERR_IMPOSSIBLE);
  assert_int_equal(clash.n_kept, 2);
  assert_int_equal(clash.kept[0], 0);
  assert_int_equal(clash.kept[1], 2);
  assert_non_null(strstr(error.text, "chord 2"));
  qf_links_clear(&links);
}

/// How often a member sounds in a chord of four voices
static size_t
count_member(const QfPitch* const pitches, const QfNoteName name)
{
  size_t n = 0;
  for (size_t v = 0; v < QF_SATB; ++v) {
    n += qf_note_name_equals(qf_pitch_name(pitches[v]), name);
  }
  return n;
}

/// Common practice: a root is doubled before a third, unless the third is asked for; the leading
/// tone never is, whoever asks.
static void
test_doublings_are_granted_where_they_can_be(void** state)
{
  (void)state;
  static const QfNoteName thirds[] = {{2, 0}, {5, 0}, {6, 0}, {2, 0}};

  QfMetre metre;
  QfLinks links;
  qf_metre(4, 4, &metre);
  assert_int_equal(qf_links_parse("C: I IV V I", NULL, metre, &links, NULL), QF_OK);
  for (size_t i = 0; i < 4; ++i) {
    QfWritings           plain    = {0};
    QfWritings           wished   = {0};
    const QfDoubling     doubling = {i, 1};
    const QfWriteOptions without  = {.profile = QF_PROFILE_COMMON};
    const QfWriteOptions with     = {
          .profile = QF_PROFILE_COMMON, .doublings = &doubling, .n_doublings = 1};
    assert_int_equal(qf_write(links.links, 4, without, &plain, NULL, NULL), QF_OK);
    assert_int_equal(qf_write(links.links, 4, with, &wished, NULL, NULL), QF_OK);
    assert_int_equal(count_member(&plain.writings[0].pitches[i * QF_SATB], thirds[i]), 1);
    assert_int_equal(count_member(&wished.writings[0].pitches[i * QF_SATB], thirds[i]),
                     i == 2 ? 1 : 2);
    qf_writings_clear(&plain);
    qf_writings_clear(&wished);
  }
  QfError              error    = {0};
  QfWritings           writings = {0};
  const QfDoubling     nowhere  = {9, 1};
  const QfWriteOptions options  = {.doublings = &nowhere, .n_doublings = 1};
  assert_int_equal(qf_write(links.links, 4, options, &writings, NULL, &error), QF_ERR_RANGE);
  qf_links_clear(&links);
}

static void
test_own_ranges_hold(void** state)
{
  (void)state;
  QfMetre metre;
  QfLinks links;
  qf_metre(4, 4, &metre);
  assert_int_equal(qf_links_parse("Eb: I vi ii65 V7 | I IV V I", NULL, metre, &links, NULL), QF_OK);
  const QfVoiceRange ranges[] = {{1, {4, 0, 3}, {2, 0, 4}}, {0, {3, 0, 4}, {0, 0, 5}}};
  for (int profile = 0; profile < QF_PROFILE_N_KINDS; ++profile) {
    QfWritings           writings = {0};
    const QfWriteOptions options  = {
       .profile = (QfProfile)profile, .n_best = 8, .ranges = ranges, .n_ranges = 2};
    assert_int_equal(qf_write(links.links, links.n_links, options, &writings, NULL, NULL), QF_OK);
    for (size_t w = 0; w < writings.n_writings; ++w) {
      for (size_t i = 0; i < links.n_links; ++i) {
        for (size_t r = 0; r < 2; ++r) {
          const QfPitch pitch = writings.writings[w].pitches[i * QF_SATB + ranges[r].voice];
          assert_in_range(qf_pitch_midi(pitch), qf_pitch_midi(ranges[r].low),
                          qf_pitch_midi(ranges[r].high));
        }
      }
    }
    qf_writings_clear(&writings);
  }
  QfWritings           writings = {0};
  const QfVoiceRange   reversed = {1, {2, 0, 5}, {4, 0, 3}};
  const QfWriteOptions options  = {.ranges = &reversed, .n_ranges = 1};
  assert_int_equal(qf_write(links.links, 1, options, &writings, NULL, NULL), QF_ERR_RANGE);
  qf_links_clear(&links);
}

static size_t
count_rule(const QfLinks* const links, const QfWritings* const writings, const QfRule rule)
{
  QfFindings     findings = {0};
  size_t         n        = 0;
  QfScore* const score    = qf_score_new_satb(links->key, links->metre, QF_TIME_ZERO, 1);
  for (size_t i = 0; i < links->n_links * QF_SATB; ++i) {
    const QfLink* const link = &links->links[i / QF_SATB];
    assert_int_equal(qf_score_put_note(score, i % QF_SATB, link->start, link->duration,
                                       writings->writings[0].pitches[i], QF_NO_NOTE, NULL),
                     QF_OK);
  }
  assert_int_equal(
    qf_check_links(score, links->links, links->n_links, QF_PROFILE_STRICT, &findings, NULL), QF_OK);
  for (size_t i = 0; i < findings.n_findings; ++i) {
    n += findings.findings[i].rule == rule;
  }
  qf_findings_clear(&findings);
  qf_score_free(score);
  return n;
}

/// Common practice: a bass may leap an octave over the bar line rather than repeat its note there
static void
test_the_bass_is_not_repeated_over_the_bar_line(void** state)
{
  (void)state;
  static const bool on_downbeat[] = {true, false, false, false, true, false, false, false};

  QfMetre metre;
  QfLinks links;
  qf_metre(4, 4, &metre);
  assert_int_equal(qf_links_parse("C: I vi IV ii6 | IV V7 I I", NULL, metre, &links, NULL), QF_OK);
  QfWritings     writings = {0};
  QfWriteOptions options  = {.profile = QF_PROFILE_STRICT};
  assert_int_equal(qf_write(links.links, links.n_links, options, &writings, NULL, NULL), QF_OK);
  assert_int_equal(count_rule(&links, &writings, QF_RULE_BASS_OVER_BAR), 1);
  qf_writings_clear(&writings);
  options.on_downbeat = on_downbeat;
  assert_int_equal(qf_write(links.links, links.n_links, options, &writings, NULL, NULL), QF_OK);
  assert_int_equal(count_rule(&links, &writings, QF_RULE_BASS_OVER_BAR), 0);
  qf_writings_clear(&writings);
  qf_links_clear(&links);
}

static void
test_other_numbers_of_voices_are_written(void** state)
{
  (void)state;
  QfMetre metre;
  QfLinks links;
  qf_metre(4, 4, &metre);
  assert_int_equal(qf_links_parse("C: I V65 I ii65 | V7 vi V7/V V", NULL, metre, &links, NULL),
                   QF_OK);
  for (size_t n = 3; n <= 5; ++n) {
    QfWritings           writings = {0};
    const QfWriteOptions options  = {.profile = QF_PROFILE_COMMON, .n_voices = n, .n_best = 3};
    assert_int_equal(qf_write(links.links, links.n_links, options, &writings, NULL, NULL), QF_OK);
    assert_int_equal(writings.n_writings, 3);
    assert_int_equal(writings.n_voices, n);
    assert_true(writings.writings[0].cost <= writings.writings[1].cost);
    for (size_t i = 0; i < links.n_links; ++i) {
      for (size_t v = 0; v + 1U < n; ++v) {
        const QfPitch* const pitches = &writings.writings[0].pitches[i * n];
        assert_true(qf_pitch_midi(pitches[v]) >= qf_pitch_midi(pitches[v + 1U]));
      }
    }
    qf_writings_clear(&writings);
  }

  QfWritings           hand    = {0};
  const QfWriteOptions options = {.profile = QF_PROFILE_COMMON, .is_keyboard = true};
  assert_int_equal(qf_write(links.links, links.n_links, options, &hand, NULL, NULL), QF_OK);
  for (size_t i = 0; i < links.n_links; ++i) {
    const QfPitch* const pitches = &hand.writings[0].pitches[i * QF_SATB];
    assert_true(qf_pitch_midi(pitches[0]) - qf_pitch_midi(pitches[2]) <= 12);
  }
  qf_writings_clear(&hand);

  const QfWriteOptions too_many = {.n_voices = 6};
  assert_int_equal(qf_write(links.links, links.n_links, too_many, &hand, NULL, NULL), QF_ERR_RANGE);
  qf_links_clear(&links);
}

// Common practice: the names of the parts, highest first.
static const char* const part_names[3][5] = {
  {"soprano", "alto", "bass"},
  {"soprano", "alto", "tenor", "bass"},
  {"soprano", "second soprano", "alto", "tenor", "bass"},
};

static void
test_faults_name_the_parts(void** state)
{
  (void)state;
  QfMetre metre;
  QfLinks links;
  qf_metre(4, 4, &metre);
  assert_int_equal(qf_links_parse("C: I", NULL, metre, &links, NULL), QF_OK);
  for (size_t n = 3; n <= 5; ++n) {
    for (size_t v = 0; v < n; ++v) {
      // D is no note of the chord, in whatever part.
      const QfKept         kept     = {0, v, {1, 0, 4}};
      const QfWriteOptions options  = {.n_voices = n, .kept = &kept, .n_kept = 1};
      QfWritings           writings = {0};
      QfError              error    = {0};
      char                 expected[60];
      assert_int_equal(qf_write(links.links, links.n_links, options, &writings, NULL, &error),
                       QF_ERR_IMPOSSIBLE);
      snprintf(expected, sizeof(expected), "chord 1 (I with %s D4 kept)", part_names[n - 3][v]);
      if (!strstr(error.text, expected)) {
        fail_msg("\"%s\" lacks \"%s\"", error.text, expected);
      }
    }
  }
  qf_links_clear(&links);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_the_results_are_the_best_of_all),
    cmocka_unit_test(test_a_clash_is_the_smallest),
    cmocka_unit_test(test_a_clash_is_found_among_many_givens),
    cmocka_unit_test(test_two_notes_in_one_voice_clash),
    cmocka_unit_test(test_doublings_are_granted_where_they_can_be),
    cmocka_unit_test(test_own_ranges_hold),
    cmocka_unit_test(test_the_bass_is_not_repeated_over_the_bar_line),
    cmocka_unit_test(test_other_numbers_of_voices_are_written),
    cmocka_unit_test(test_faults_name_the_parts),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
