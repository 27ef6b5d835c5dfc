// SPDX-License-Identifier: MIT
// How usual it is that one chord of the vocabulary follows another.
#include "words.h"

enum {
  DECEPTIVE_SHARE     = 4, ///< Parts of 10 that a deceptive turn keeps of its weight
  SAME_DEGREE_WEIGHT  = 6,
  RESOLUTION_WEIGHT   = 40,
  CHAIN_WEIGHT        = 30,
  PROLONGATION_WEIGHT = 8,
  WEIGHT_UNIT         = 10,
  RARITY              = 4, ///< Of an ending in the other mode beside the plain one
};

static bool
has_seventh(const Word* const word)
{
  return qf_chord_kind_has_seventh(word->numeral.kind);
}

/**
   Inversions, as bits, of the triad that a dominant or leading-tone chord goes to.

   The bass decides: the leading tone rises to the root, the second degree goes
   to the root or the third, the seventh falls to the third, and so does the
   fifth of a leading-tone seventh.
   common practice
*/
static unsigned
goal_inversions(const QfNumeral* const numeral)
{
  static const unsigned of_dominant[] = {1U, 1U, 3U, 2U};
  static const unsigned of_leading[]  = {1U, 3U, 2U, 0U};
  return numeral->degree == 5 ? of_dominant[numeral->inversion] : of_leading[numeral->inversion];
}

/// True if a word is the plain triad on a degree in a fitting inversion
static bool
is_goal(const Word* const from, const Word* const to, const int degree)
{
  return (to->part == PART_TONIC || to->part == PART_PREDOMINANT || to->part == PART_DOMINANT) &&
         to->degree == degree && to->numeral.alter == 0 && !has_seventh(to) &&
         (to->is_last || (to->uses & QF_USE_MIXTURE) == 0) &&
         (goal_inversions(&from->numeral) & (1U << (unsigned)to->numeral.inversion));
}

/**
   True if one dominant seventh slides into the next in these inversions.

   The bass falls by a fifth or moves by step: 7 to 7 or 4/3, 6/5 to 4/2, and back.
   Rule: MT21C "Voice Leading Seventh Chords".
*/
static bool
slides(const QfNumeral* const a, const QfNumeral* const b)
{
  static const unsigned next[] = {5U, 8U, 1U, 2U};
  return next[a->inversion] & (1U << (unsigned)b->inversion);
}

bool
words_is_chained(const Words* const words, const size_t from, const size_t to)
{
  const Word* const a = &words->words[from];
  const Word* const b = &words->words[to];
  return a->part == PART_APPLIED && b->part == PART_APPLIED && a->numeral.degree == 5 &&
         b->numeral.degree == 5 && has_seventh(a) && has_seventh(b) && b->degree == a->target &&
         slides(&a->numeral, &b->numeral);
}

/// An applied dominant that leads to the dominant seventh itself
static bool
is_applied_to_seventh(const Word* const a, const Word* const b)
{
  return a->target == 5 && a->numeral.degree == 5 && has_seventh(a) && has_seventh(b) &&
         b->part == PART_DOMINANT && b->degree == 5 && slides(&a->numeral, &b->numeral);
}

static unsigned
from_predominant(const Word* const a, const Word* const b)
{
  switch (b->part) {
    case PART_TONIC: // The plagal turn
      return a->degree == 4 && b->degree == 1 && !has_seventh(a) && a->numeral.inversion == 0;
    case PART_APPLIED:
      return b->target == 5;
    case PART_PREDOMINANT:
      // Borrowed notes do not turn back.
      return !has_seventh(a) && !((a->uses & ~b->uses) & QF_USE_MIXTURE);
    case PART_PASSING:
      return 0;
    default:
      return 1;
  }
}

static unsigned
from_dominant(const Word* const a, const Word* const b)
{
  if (is_goal(a, b, 1)) {
    return RESOLUTION_WEIGHT;
  }
  const bool is_deceptive = a->degree == 5 && a->numeral.inversion == 0 && b->degree == 6 &&
                            b->part == PART_TONIC && !has_seventh(b);
  if (is_deceptive) {
    return DECEPTIVE_SHARE;
  }
  const bool is_prolonged =
    b->part == PART_DOMINANT && a->degree == b->degree && !has_seventh(a) && has_seventh(b);
  return is_prolonged ? PROLONGATION_WEIGHT : 0;
}

static unsigned
from_applied(const Words* const words, const size_t from, const size_t to)
{
  const Word* const a = &words->words[from];
  const Word* const b = &words->words[to];
  if (is_goal(a, b, a->target)) {
    return RESOLUTION_WEIGHT;
  }
  return is_applied_to_seventh(a, b) || words_is_chained(words, from, to) ? CHAIN_WEIGHT : 0;
}

/// Neapolitan and augmented sixths; those with a goal were tested before
static bool
leaves_chromatic(const Word* const b)
{
  return b->part == PART_CADENTIAL ||
         (b->part == PART_DOMINANT && b->degree == 5 &&
          (b->numeral.inversion == 0 || b->numeral.inversion == 3)) ||
         (b->part == PART_APPLIED && b->target == 5 && b->numeral.degree == 7);
}

/// Weight by the degrees of the roots
static unsigned
by_degrees(const Words* const words, const QfWeights weights, const Word* a, const Word* b)
{
  if (a->degree == b->degree) {
    return has_seventh(a) ? 0 : SAME_DEGREE_WEIGHT;
  }
  return degree_weight(weights, words->mode, a->degree, b->degree);
}

unsigned
words_step(const Words* const words, const QfWeights weights, const size_t from, const size_t to)
{
  const Word* const a = &words->words[from];
  const Word* const b = &words->words[to];
  if (qf_numeral_equals(&a->numeral, &b->numeral) ||
      (b->has_from && !qf_numeral_equals(&b->from, &a->numeral)) ||
      (a->has_goal && !qf_numeral_equals(&a->goal, &b->numeral))) {
    return 0;
  }
  if (b->is_last && a->part != PART_DOMINANT) {
    return 0;
  }
  if (a->has_goal) {
    return RESOLUTION_WEIGHT * b->weight;
  }
  if (b->has_from) {
    return SAME_DEGREE_WEIGHT * b->weight;
  }

  const unsigned by_degree = by_degrees(words, weights, a, b);
  switch (a->part) {
    case PART_TONIC:
      return by_degree * b->share;
    case PART_PREDOMINANT:
      return from_predominant(a, b) * by_degree * b->share;
    case PART_DOMINANT:
      return from_dominant(a, b) * b->weight;
    case PART_CADENTIAL:
      return b->part == PART_DOMINANT && b->degree == 5 && b->numeral.inversion == 0
               ? RESOLUTION_WEIGHT * b->weight
               : 0;
    case PART_APPLIED:
      return from_applied(words, from, to) * b->weight;
    case PART_CHROMATIC:
      return leaves_chromatic(b) ? WEIGHT_UNIT * b->weight : 0;
    case PART_PASSING:
      return 0;
  }
  return 0;
}

unsigned
words_start(const Words* const words, const size_t first)
{
  const Word* const word = &words->words[first];
  return word->part == PART_TONIC && word->degree == 1 && !has_seventh(word) && !word->is_last &&
             word->numeral.inversion == 0
           ? 1U
           : 0U;
}

unsigned
words_end(const Words* const words, const size_t from, const size_t last, const bool is_very_last)
{
  const Word* const a = &words->words[from];
  const Word* const b = &words->words[last];
  if (b->numeral.inversion != 0 || has_seventh(b) || b->numeral.n_targets) {
    return 0;
  }
  if (b->part == PART_TONIC && b->degree == 1 && (is_very_last || !b->is_last)) {
    const bool is_authentic =
      a->part == PART_DOMINANT && a->degree == 5 && a->numeral.inversion == 0;
    const bool     is_plagal = a->part == PART_PREDOMINANT && a->degree == 4;
    const unsigned usual     = b->is_last ? WEIGHT_UNIT / RARITY : WEIGHT_UNIT;
    return is_authentic ? usual : is_plagal ? 1U : 0U;
  }
  const bool is_half = b->part == PART_DOMINANT && b->degree == 5 && a->part != PART_DOMINANT;
  return is_half ? (is_very_last ? 2U : WEIGHT_UNIT) : 0U;
}
