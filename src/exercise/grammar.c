// SPDX-License-Identifier: MIT
#include "grammar.h"

#include <stdlib.h>
#include <string.h>

enum {
  N_MODES          = 2,
  SCALE_BITS       = 31, ///< Sums of one place are kept below this
  MIN_BEFORE_PIVOT = 2,  ///< Chords of the first key only
  MIN_AFTER_PIVOT  = 4,
  ROW_SUM          = 4096, ///< All steps from one word together
  STEPS_A_REPEAT   = 5,    ///< One chord may lead to the same other one once more in so many
};

typedef uint32_t Sums[MAX_WORDS][2]; ///< By word, and by whether the required use was seen

struct GrammarImpl {
  QfExerciseOptions options;
  Words             words[N_MODES];
  uint32_t          steps[N_MODES][MAX_WORDS][MAX_WORDS];
  Sums              sums[QF_EXERCISE_MAX_CHORDS];
};

/// One drawing of the grammar
typedef struct {
  Grammar*    grammar;
  KeyPlan     keys;
  const Slot* slots;
  size_t      n_slots;
  unsigned    required;
  size_t      pivot;               ///< Last place of the first key, or `n_slots`
  size_t      pivot_of[MAX_WORDS]; ///< Word of the second key, or #MAX_WORDS
} Draw;

/// Weights of all steps from a word, scaled to one sum so that no word draws the chain to itself
static void
fill_row(Grammar* const grammar, const Words* const words, const size_t from)
{
  const QfExerciseOptions* const options = &grammar->options;
  uint32_t* const                row     = grammar->steps[words->mode][from];
  uint64_t                       sum     = 0;
  for (size_t to = 0; to < words->n_words; ++to) {
    const bool is_chain = words_is_chained(words, from, to);
    row[to]             = is_chain && !(options->uses & QF_USE_CHAINS)
                            ? 0U
                            : words_step(words, options->weights, from, to);
    sum += row[to];
  }
  for (size_t to = 0; to < words->n_words; ++to) {
    if (row[to]) {
      row[to] = 1U + (uint32_t)((uint64_t)row[to] * ROW_SUM / sum);
    }
  }
}

Grammar*
grammar_new(const QfExerciseOptions* const options)
{
  Grammar* const grammar = (Grammar*)calloc(1, sizeof(Grammar));
  if (!grammar) {
    return NULL;
  }

  grammar->options = *options;
  for (int mode = QF_MAJOR; mode <= QF_MINOR; ++mode) {
    Words* const words = &grammar->words[mode];
    words_make(options, (QfMode)mode, words);
    for (size_t from = 0; from < words->n_words; ++from) {
      fill_row(grammar, words, from);
    }
  }
  return grammar;
}

void
grammar_free(Grammar* const grammar)
{
  free(grammar);
}

static QfMode
mode_at(const Draw* const draw, const size_t slot)
{
  return slot <= draw->pivot ? draw->keys.home.mode : draw->keys.away.mode;
}

static const Words*
words_at(const Draw* const draw, const size_t slot)
{
  return &draw->grammar->words[mode_at(draw, slot)];
}

/// Whether two chords may stand on two neighbouring places
static bool
fits_metre(const Word* const a, const Word* const b, const Slot* const at)
{
  const int from = at[0].level;
  const int to   = at[1].level;
  if (a->part == PART_CADENTIAL && !(to > from || (to == 0 && from == 0))) {
    return false;
  }
  if (b->part == PART_PASSING && to < from) {
    return false;
  }
  // A bass that is struck again on a stronger beat takes the beat's weight away.
  return !(qf_note_name_equals(a->bass, b->bass) && to < from);
}

/// Weight of one step from a place to the next, 0 for never
static uint64_t
step_weight(const Draw* const draw, const size_t slot, size_t from, const size_t to)
{
  const Words* const words = words_at(draw, slot + 1U);
  if (slot == draw->pivot) {
    from = draw->pivot_of[from];
    if (from == MAX_WORDS) {
      return 0;
    }
  }

  const uint64_t    step = draw->grammar->steps[words->mode][from][to];
  const Word* const a    = &words->words[from];
  const Word* const b    = &words->words[to];
  if (!step || !fits_metre(a, b, &draw->slots[slot])) {
    return 0;
  }
  const bool is_very_last = slot + 2U == draw->n_slots;
  if (draw->slots[slot + 1U].is_cadence) {
    const bool is_half = b->part == PART_DOMINANT;
    // A new key is not reached before its tonic is.
    return is_half && draw->keys.modulates ? 0 : step * words_end(words, from, to, is_very_last);
  }
  return b->is_last ? 0 : step;
}

/// Whether a word on a place brings what is required
static bool
brings(const Draw* const draw, const size_t slot, const size_t word)
{
  return words_at(draw, slot)->words[word].uses & draw->required;
}

/// The same for a step between two words
static bool
step_brings(const Draw* const draw, const size_t slot, const size_t from, const size_t to)
{
  return brings(draw, slot + 1U, to) || (draw->required & QF_USE_CHAINS && slot != draw->pivot &&
                                         words_is_chained(words_at(draw, slot + 1U), from, to));
}

/// Scale the sums of a place so that the next place cannot overflow
static void
scale_sums(uint64_t wide[MAX_WORDS][2], const size_t n_words, Sums result)
{
  uint64_t most = 0;
  for (size_t w = 0; w < n_words; ++w) {
    most = wide[w][0] > most ? wide[w][0] : most;
    most = wide[w][1] > most ? wide[w][1] : most;
  }

  unsigned shift = 0;
  while (most >> shift >> SCALE_BITS) {
    ++shift;
  }
  for (size_t w = 0; w < n_words; ++w) {
    for (int seen = 0; seen < 2; ++seen) {
      const uint64_t scaled = wide[w][seen] >> shift;
      result[w][seen]       = (uint32_t)(scaled ? scaled : wide[w][seen] != 0);
    }
  }
}

/// Sum the weights of all ways on from each word of each place, last place first
static void
sum_backwards(const Draw* const draw)
{
  Grammar* const grammar = draw->grammar;
  const size_t   last    = draw->n_slots - 1U;
  for (size_t w = 0; w < words_at(draw, last)->n_words; ++w) {
    grammar->sums[last][w][0] = 0;
    grammar->sums[last][w][1] = 1;
  }

  for (size_t slot = last; slot-- > 0;) {
    const size_t n_from = words_at(draw, slot)->n_words;
    const size_t n_to   = words_at(draw, slot + 1U)->n_words;
    uint64_t     wide[MAX_WORDS][2];
    for (size_t a = 0; a < n_from; ++a) {
      wide[a][0] = 0;
      wide[a][1] = 0;
      for (size_t b = 0; b < n_to; ++b) {
        const uint64_t weight = step_weight(draw, slot, a, b);
        if (weight) {
          const int seen = step_brings(draw, slot, a, b);
          wide[a][0] += weight * grammar->sums[slot + 1U][b][seen];
          wide[a][1] += weight * grammar->sums[slot + 1U][b][1];
        }
      }
    }
    scale_sums(wide, n_from, grammar->sums[slot]);
  }
}

/// Find the words of both keys that are one chord
static void
find_pivots(Draw* const draw)
{
  const Words* const home = words_at(draw, 0);
  const Words* const away = words_at(draw, draw->pivot + 1U);
  for (size_t i = 0; i < home->n_words; ++i) {
    const Word* const a = &home->words[i];
    QfChord           chord;
    draw->pivot_of[i] = MAX_WORDS;
    if ((a->part != PART_TONIC && a->part != PART_PREDOMINANT) || a->is_last ||
        a->uses & QF_USE_MIXTURE || qf_numeral_chord(&a->numeral, draw->keys.home, &chord, NULL)) {
      continue;
    }
    for (size_t j = 0; j < away->n_words; ++j) {
      const Word* const b = &away->words[j];
      QfChord           other;
      // The pivot prepares the new dominant. Rule: OMT, "Modulation".
      if (b->part == PART_PREDOMINANT && !(b->uses & QF_USE_MIXTURE) &&
          !qf_numeral_chord(&b->numeral, draw->keys.away, &other, NULL) &&
          other.kind == chord.kind && qf_note_name_equals(other.root, chord.root) &&
          other.inversion == chord.inversion) {
        draw->pivot_of[i] = j;
      }
    }
  }
}

/// Draw the words themselves, first place first
static bool
walk_forwards(const Draw* const draw, QfRandom* const random, size_t* const chain)
{
  uint64_t     weights[MAX_WORDS];
  Sums* const  sums  = draw->grammar->sums;
  const Words* words = words_at(draw, 0);
  for (size_t w = 0; w < words->n_words; ++w) {
    const int seen = !draw->required || brings(draw, 0, w);
    weights[w]     = (uint64_t)words_start(words, w) * sums[0][w][seen];
  }
  chain[0] = random_weighted(random, weights, words->n_words);
  if (chain[0] == words->n_words) {
    return false;
  }

  bool has_seen = !draw->required || brings(draw, 0, chain[0]);
  for (size_t slot = 0; slot + 1U < draw->n_slots; ++slot) {
    words = words_at(draw, slot + 1U);
    for (size_t w = 0; w < words->n_words; ++w) {
      const int seen = has_seen || step_brings(draw, slot, chain[slot], w);
      weights[w]     = step_weight(draw, slot, chain[slot], w) * sums[slot + 1U][w][seen];
    }
    chain[slot + 1U] = random_weighted(random, weights, words->n_words);
    if (chain[slot + 1U] == words->n_words) {
      return false;
    }
    has_seen = has_seen || step_brings(draw, slot, chain[slot], chain[slot + 1U]);
  }
  return true;
}

static unsigned
uses_of(const Draw* const draw, const size_t* const chain)
{
  unsigned uses = 0;
  for (size_t i = 0; i < draw->n_slots; ++i) {
    uses |= words_at(draw, i)->words[chain[i]].uses;
    if (i + 1U < draw->n_slots && i != draw->pivot &&
        words_is_chained(words_at(draw, i + 1U), chain[i], chain[i + 1U])) {
      uses |= QF_USE_CHAINS;
    }
  }
  return uses;
}

/// True if the chain goes round between the same two chords
static bool
is_monotonous(const size_t* const chain, const size_t n)
{
  for (size_t i = 0; i + 1U < n; ++i) {
    int n_same = 0;
    for (size_t j = i; j + 1U < n; ++j) {
      n_same += chain[j] == chain[i] && chain[j + 1U] == chain[i + 1U];
    }
    if (n_same > 1 + (int)n / STEPS_A_REPEAT) {
      return true;
    }
  }
  return false;
}

bool
grammar_draw(Grammar* const    grammar,
             const KeyPlan     keys,
             const Slot* const slots,
             const size_t      n_slots,
             const unsigned    required,
             QfRandom* const   random,
             QfLink* const     links,
             unsigned* const   uses)
{
  Draw draw = {.grammar  = grammar,
               .keys     = keys,
               .slots    = slots,
               .n_slots  = n_slots,
               .required = required,
               .pivot    = n_slots};
  if (keys.modulates) {
    if (n_slots < MIN_BEFORE_PIVOT + 1U + MIN_AFTER_PIVOT) {
      return false;
    }
    draw.pivot =
      MIN_BEFORE_PIVOT + random_below(random, n_slots - MIN_BEFORE_PIVOT - MIN_AFTER_PIVOT);
    find_pivots(&draw);
  }

  size_t chain[QF_EXERCISE_MAX_CHORDS];
  sum_backwards(&draw);
  if (!walk_forwards(&draw, random, chain) || is_monotonous(chain, n_slots)) {
    return false;
  }

  *uses = uses_of(&draw, chain);
  for (size_t i = 0; i < n_slots; ++i) {
    links[i] = (QfLink){.key      = i <= draw.pivot ? keys.home : keys.away,
                        .numeral  = words_at(&draw, i)->words[chain[i]].numeral,
                        .start    = slots[i].start,
                        .duration = slots[i].duration};
  }
  return true;
}
