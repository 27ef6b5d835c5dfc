// SPDX-License-Identifier: MIT
#include "../../src/partwriting/functions.h"

#include "quintfall/harmonise.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum {
  MAX_NOTES  = 4,
  MAX_WORDS  = 48,
  MAX_CHAINS = 20000,
  N_LINES    = 36,
  N_BEST     = 3,
  WEIGHT     = 3, ///< Of the chain against its writing
};

/// A chain with the cost of itself and its best writing
typedef struct {
  int     cost;
  uint8_t words[MAX_NOTES];
} Chain;

/// Everything there is to set to a line
typedef struct {
  QfGivenNote        notes[MAX_NOTES];
  size_t             n_notes;
  QfHarmoniseOptions options;
  const Word*        words;
  size_t             n_words;
  QfNumeral          numerals[MAX_WORDS];
  QfChord            chords[MAX_WORDS];
  Chain*             chains;
  size_t             n_chains;
  size_t             n_tried;
} Everything;

static unsigned
draw(unsigned* const seed, const unsigned n)
{
  *seed = *seed * 1664525U + 1013904223U;
  return (*seed >> 8U) % n;
}

static bool
fits(const Everything* const all, const size_t note, const size_t word)
{
  const QfChord chord  = all->chords[word];
  const int     member = qf_chord_member_of(chord, qf_pitch_name(all->notes[note].pitch));
  return all->words[word].level <= all->options.vocabulary &&
         (all->options.is_bass ? member == chord.inversion : member >= 0);
}

static QfTime
place_in_bar(const QfTime start)
{
  return qf_time_sub(start, qf_time_floor(start, qf_time(1, 1)));
}

static int
cost_of_chain(const Everything* const all, const uint8_t* const words)
{
  const QfMetre     metre = all->options.metre;
  const Word* const first = &all->words[words[0]];
  int               cost  = first->cost + function_start_cost(first);
  for (size_t i = 1; i < all->n_notes; ++i) {
    const Word* const from   = &all->words[words[i - 1U]];
    const Word* const to     = &all->words[words[i]];
    const int         before = qf_metre_level(metre, place_in_bar(all->notes[i - 1U].start));
    const int         now    = qf_metre_level(metre, place_in_bar(all->notes[i].start));
    cost += function_step_cost(from, to, now > before);
    if (i + 1U == all->n_notes || all->notes[i].ends_phrase) {
      cost += function_cadence_cost(from, to, i + 1U == all->n_notes);
    }
  }
  return cost;
}

/// Write one chain in the best way, if it can be written
static void
try_chain(Everything* const all, const uint8_t* const words)
{
  QfLink links[MAX_NOTES];
  QfKept kept[MAX_NOTES];
  bool   on_downbeat[MAX_NOTES];
  for (size_t i = 0; i < all->n_notes; ++i) {
    const QfGivenNote* const note = &all->notes[i];
    links[i] = (QfLink){all->options.key, all->numerals[words[i]], note->start, note->duration};
    kept[i]  = (QfKept){i, all->options.is_bass ? 3U : 0U, note->pitch};
    on_downbeat[i] = place_in_bar(note->start).num == 0;
  }
  const QfWriteOptions options  = {.profile     = all->options.profile,
                                   .kept        = kept,
                                   .n_kept      = all->n_notes,
                                   .on_downbeat = on_downbeat};
  QfWritings           writings = {0};
  ++all->n_tried;
  if (!qf_write(links, all->n_notes, options, &writings, NULL, NULL)) {
    assert_true(all->n_chains < MAX_CHAINS);
    Chain* const chain = &all->chains[all->n_chains++];
    chain->cost        = WEIGHT * cost_of_chain(all, words) + writings.writings[0].cost;
    memcpy(chain->words, words, MAX_NOTES);
  }
  qf_writings_clear(&writings);
}

static void
try_everything(Everything* const all, const size_t note, uint8_t words[MAX_NOTES])
{
  if (note == all->n_notes) {
    try_chain(all, words);
    return;
  }
  for (size_t w = 0; w < all->n_words; ++w) {
    if (fits(all, note, w)) {
      words[note] = (uint8_t)w;
      try_everything(all, note + 1U, words);
    }
  }
}

/// Same triad, written the same way?
static bool
is_same_triad(const QfNumeral* const a, const QfNumeral* const b, const QfKey key)
{
  QfChord first;
  QfChord second;
  assert_int_equal(qf_numeral_chord(a, key, &first, NULL), QF_OK);
  assert_int_equal(qf_numeral_chord(b, key, &second, NULL), QF_OK);
  bool is_same = a->form == b->form;
  for (int member = 0; member < 3; ++member) {
    QfNoteName one;
    QfNoteName other;
    assert_int_equal(qf_chord_member(first, member, &one), QF_OK);
    assert_int_equal(qf_chord_member(second, member, &other), QF_OK);
    is_same &= qf_note_name_equals(one, other);
  }
  return is_same;
}

static bool
is_apart(const Everything* const all, const Chain* const chain, const QfHarmony* const harmony)
{
  size_t n = 0;
  for (size_t i = 0; i < all->n_notes; ++i) {
    n +=
      !is_same_triad(&all->numerals[chain->words[i]], &harmony->links[i].numeral, all->options.key);
  }
  return n >= all->options.n_apart;
}

/// Least cost of the chains apart from the first so many found; -1 if there is none
static int
least_apart(const Everything* const all, const QfHarmonies* const found, const size_t n)
{
  int least = -1;
  for (size_t i = 0; i < all->n_chains; ++i) {
    const Chain* const chain = &all->chains[i];
    bool               is_in = least < 0 || chain->cost < least;
    for (size_t k = 0; is_in && k < n; ++k) {
      is_in = is_apart(all, chain, &found->harmonies[k]);
    }
    least = is_in ? chain->cost : least;
  }
  return least;
}

static void
draw_line(unsigned* const seed, const size_t round, Everything* const all)
{
  const QfMode mode = draw(seed, 2) ? QF_MINOR : QF_MAJOR;
  all->options      = (QfHarmoniseOptions){.vocabulary = (QfVocabulary)(round % 3U),
                                           .profile    = (QfProfile)(round / 3U % 3U),
                                           .is_bass    = round % 2U == 1,
                                           .n_best     = N_BEST,
                                           .n_apart    = 1U + round % 2U};
  assert_int_equal(qf_key_from_fifths((int)draw(seed, 9) - 4, mode, &all->options.key), QF_OK);
  assert_int_equal(qf_metre(4, 4, &all->options.metre), QF_OK);
  all->n_notes  = all->options.is_bass ? MAX_NOTES : MAX_NOTES - 1U;
  all->n_chains = all->n_tried = 0;

  int step = (all->options.is_bass ? 7 * 3 : 7 * 4 + 4) + (int)draw(seed, 5);
  for (size_t i = 0; i < all->n_notes; ++i) { // Over a bar line
    all->notes[i] =
      (QfGivenNote){.start    = qf_time((int64_t)i + 2, 4),
                    .duration = qf_time(1, 4),
                    .pitch = qf_pitch_from_step(step, qf_key_alter_of(all->options.key, step % 7)),
                    .ends_phrase = i == 1 && round % 5U == 0};
    step += (int)draw(seed, 5) - 2;
  }
  all->words = function_words(mode, &all->n_words);
  for (size_t w = 0; w < all->n_words; ++w) {
    assert_int_equal(qf_numeral_parse(all->words[w].numeral, mode, &all->numerals[w], NULL), QF_OK);
    assert_int_equal(qf_numeral_chord(&all->numerals[w], all->options.key, &all->chords[w], NULL),
                     QF_OK);
  }
}

/// The joint search finds what writing out every chain there is finds, and the next best
static void
test_chords_and_voicings_are_the_best_of_all(void** state)
{
  (void)state;
  unsigned   seed       = 41;
  size_t     n_tried    = 0;
  size_t     n_possible = 0;
  Everything all        = {.chains = (Chain*)calloc(MAX_CHAINS, sizeof(Chain))};
  assert_non_null(all.chains);
  for (size_t round = 0; round < N_LINES; ++round) {
    uint8_t     words[MAX_NOTES] = {0};
    QfHarmonies found            = {0};
    draw_line(&seed, round, &all);
    try_everything(&all, 0, words);
    n_tried += all.n_tried;
    const QfStatus st = qf_harmonise(all.notes, all.n_notes, all.options, &found, NULL);
    assert_int_equal(st, all.n_chains ? QF_OK : QF_ERR_IMPOSSIBLE);
    for (size_t i = 0; i < found.n_harmonies; ++i) {
      const int least = least_apart(&all, &found, i);
      if (found.harmonies[i].cost != least) {
        fail_msg("line %zu, chain %zu: cost %d, the best is %d", round, i + 1U,
                 found.harmonies[i].cost, least);
      }
    }
    if (all.n_chains && found.n_harmonies < N_BEST) {
      assert_int_equal(least_apart(&all, &found, found.n_harmonies), -1);
    }
    n_possible += all.n_chains > 0;
    qf_harmonies_clear(&found);
  }
  free(all.chains);
  print_message("%zu chains written out, %zu of %d lines possible\n", n_tried, n_possible, N_LINES);
  assert_true(2U * n_possible > N_LINES);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_chords_and_voicings_are_the_best_of_all),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
