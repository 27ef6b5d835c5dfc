// SPDX-License-Identifier: MIT
#include "grammar.h"

#include <stdlib.h>
#include <string.h>

enum {
  N_MODES          = 2,
  SCALE_BITS       = 31, ///< Sums of one place are kept below this
  MIN_BEFORE_PIVOT = 2,  ///< Chords of the first key only
  MIN_AFTER_PIVOT  = 4,  ///< Chords that establish the next
  MAX_PIVOTS       = MAX_STAYS - 1,
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
  size_t      cadence;            ///< Where the key that is left again closes, or `n_slots`
  size_t      pivots[MAX_PIVOTS]; ///< Last place of each key but the last
  size_t      pivot_of[MAX_PIVOTS][MAX_WORDS]; ///< Word of the next key, or #MAX_WORDS
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

/// Which of its keys a place is in
static size_t
stay_at(const Draw* const draw, const size_t slot)
{
  size_t stay = 0;
  while (stay + 1U < draw->keys.n_keys && slot > draw->pivots[stay]) {
    ++stay;
  }
  return stay;
}

static const Words*
words_at(const Draw* const draw, const size_t slot)
{
  return &draw->grammar->words[draw->keys.keys[stay_at(draw, slot)].mode];
}

/// True for the last place of a key that is left
static bool
is_pivot(const Draw* const draw, const size_t slot)
{
  return stay_at(draw, slot) != stay_at(draw, slot + 1U);
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
  if (is_pivot(draw, slot)) {
    from = draw->pivot_of[stay_at(draw, slot)][from];
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
  if (draw->slots[slot + 1U].is_cadence || slot + 1U == draw->cadence) {
    const bool is_half = b->part == PART_DOMINANT;
    // A new key is not reached before its tonic is.
    return is_half && draw->keys.n_keys > 1 ? 0 : step * words_end(words, from, to, is_very_last);
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
  return brings(draw, slot + 1U, to) || (draw->required & QF_USE_CHAINS && !is_pivot(draw, slot) &&
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

/// True for a chord over which a key can be left
static bool
may_leave(const Word* const word)
{
  return (word->part == PART_TONIC || word->part == PART_PREDOMINANT) && !word->is_last &&
         !(word->uses & QF_USE_MIXTURE);
}

/// True for a chord that leads on in a key that is just entered
static bool
may_enter(const Word* const word, const bool is_home)
{
  // The pivot prepares the new dominant. Rule: OMT, "Modulation". On the way home that may be the
  // dominant itself: the tonic that was left for, heard as V again. common practice.
  return (word->part == PART_PREDOMINANT ||
          (is_home && (word->part == PART_TONIC || word->part == PART_DOMINANT))) &&
         !word->is_last && !(word->uses & QF_USE_MIXTURE);
}

/// Find the words of both keys that are one chord
static void
find_pivots(Draw* const draw, const size_t stay)
{
  const QfKey        key     = draw->keys.keys[stay];
  const QfKey        next    = draw->keys.keys[stay + 1U];
  const bool         is_home = qf_key_equals(next, draw->keys.keys[0]);
  const Words* const from    = &draw->grammar->words[key.mode];
  const Words* const to      = &draw->grammar->words[next.mode];
  for (size_t i = 0; i < from->n_words; ++i) {
    QfChord chord;
    draw->pivot_of[stay][i] = MAX_WORDS;
    if (!may_leave(&from->words[i]) ||
        qf_numeral_chord(&from->words[i].numeral, key, &chord, NULL)) {
      continue;
    }
    for (size_t j = 0; j < to->n_words; ++j) {
      QfChord other;
      if (may_enter(&to->words[j], is_home) &&
          !qf_numeral_chord(&to->words[j].numeral, next, &other, NULL) &&
          other.kind == chord.kind && qf_note_name_equals(other.root, chord.root) &&
          other.inversion == chord.inversion) {
        draw->pivot_of[stay][i] = j;
      }
    }
  }
}

/// Draw where the first key is left, and, on the way home, where the second closes and is left
static bool
draw_pivots(Draw* const draw, QfRandom* const random)
{
  const size_t n_changes = draw->keys.n_keys - 1U;
  const size_t n_least   = MIN_BEFORE_PIVOT + 1U + n_changes * MIN_AFTER_PIVOT;
  if (n_changes == 0) {
    return true;
  }
  if (draw->n_slots < n_least) {
    return false;
  }

  draw->pivots[0] = MIN_BEFORE_PIVOT + random_below(random, draw->n_slots - n_least + 1U);
  find_pivots(draw, 0);
  if (n_changes == 1U) {
    return true;
  }

  // common practice: keys close on a strong beat.
  uint64_t     weights[QF_EXERCISE_MAX_CHORDS] = {0};
  const size_t last                            = draw->n_slots - 1U - MIN_AFTER_PIVOT;
  for (size_t slot = draw->pivots[0] + MIN_AFTER_PIVOT; slot <= last; ++slot) {
    weights[slot] = draw->slots[slot].level == 0;
  }
  draw->cadence = random_weighted(random, weights, draw->n_slots);
  if (draw->cadence == draw->n_slots) {
    return false;
  }
  draw->pivots[1] = draw->cadence + (draw->cadence < last ? random_below(random, 2) : 0);
  find_pivots(draw, 1);
  return true;
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
    if (i + 1U < draw->n_slots && !is_pivot(draw, i) &&
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
  Draw   draw = {.grammar  = grammar,
                 .keys     = keys,
                 .slots    = slots,
                 .n_slots  = n_slots,
                 .required = required,
                 .cadence  = n_slots};
  size_t chain[QF_EXERCISE_MAX_CHORDS];
  if (!draw_pivots(&draw, random)) {
    return false;
  }
  sum_backwards(&draw);
  if (!walk_forwards(&draw, random, chain) || is_monotonous(chain, n_slots)) {
    return false;
  }

  *uses = uses_of(&draw, chain);
  for (size_t i = 0; i < n_slots; ++i) {
    links[i] = (QfLink){.key      = keys.keys[stay_at(&draw, i)],
                        .numeral  = words_at(&draw, i)->words[chain[i]].numeral,
                        .start    = slots[i].start,
                        .duration = slots[i].duration};
  }
  return true;
}
