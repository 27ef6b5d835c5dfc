// SPDX-License-Identifier: MIT
#include "words.h"

#include <stdio.h>
#include <string.h>

/// A line of the vocabulary
typedef struct {
  const char* numeral;
  WordPart    part;
  unsigned    uses;
  unsigned    weight;
  int         degree;
  const char* from;
  const char* goal;
  bool        is_last;
} Line;

// Weights are common practice: root positions before inversions, plain chords before rare ones.
static const Line major_lines[] = {
  {"I", PART_TONIC, 0, 10, 1},
  {"I6", PART_TONIC, 0, 6, 1},
  {"vi", PART_TONIC, QF_USE_SECONDARY, 7, 6},
  {"iii", PART_TONIC, QF_USE_SECONDARY, 4, 3},
  {"vi7", PART_TONIC, QF_USE_SEVENTHS, 3, 6, NULL, "ii"},
  {"I7", PART_TONIC, QF_USE_SEVENTHS, 2, 1, NULL, "IV"},
  {"ii", PART_PREDOMINANT, QF_USE_SECONDARY, 5, 2},
  {"ii6", PART_PREDOMINANT, QF_USE_SECONDARY, 6, 2},
  {"ii7", PART_PREDOMINANT, QF_USE_SEVENTHS, 5, 2},
  {"ii65", PART_PREDOMINANT, QF_USE_SEVENTHS, 6, 2},
  {"ii43", PART_PREDOMINANT, QF_USE_SEVENTHS, 2, 2},
  {"ii42", PART_PREDOMINANT, QF_USE_SEVENTHS, 2, 2, NULL, "V65"},
  {"IV", PART_PREDOMINANT, 0, 8, 4},
  {"IV6", PART_PREDOMINANT, 0, 4, 4},
  {"IV7", PART_PREDOMINANT, QF_USE_SEVENTHS, 3, 4},
  {"V", PART_DOMINANT, 0, 8, 5},
  {"V6", PART_DOMINANT, 0, 5, 5},
  {"V7", PART_DOMINANT, 0, 8, 5},
  {"V65", PART_DOMINANT, 0, 5, 5},
  {"V43", PART_DOMINANT, 0, 4, 5},
  {"V42", PART_DOMINANT, 0, 4, 5},
  {"viio6", PART_DOMINANT, QF_USE_LEADING_TONE, 5, 7},
  {"vii/o7", PART_DOMINANT, QF_USE_LEADING_TONE, 4, 7},
  {"vii/o65", PART_DOMINANT, QF_USE_LEADING_TONE, 2, 7},
  {"viio7", PART_DOMINANT, QF_USE_LEADING_TONE | QF_USE_MIXTURE, 4, 7},
  {"Cad64", PART_CADENTIAL, QF_USE_CADENTIAL, 10, 5},
  {"V64", PART_PASSING, QF_USE_SECONDARY, 5, 5, "I", "I6"},
  {"V64", PART_PASSING, QF_USE_SECONDARY, 5, 5, "I6", "I"},
  {"IV64", PART_PASSING, QF_USE_SECONDARY, 5, 4, "I", "I"},
  {"iv", PART_PREDOMINANT, QF_USE_MIXTURE, 4, 4},
  {"iv6", PART_PREDOMINANT, QF_USE_MIXTURE, 2, 4, NULL, "V"},
  {"ii/o65", PART_PREDOMINANT, QF_USE_MIXTURE | QF_USE_SEVENTHS, 3, 2},
  {"iio6", PART_PREDOMINANT, QF_USE_MIXTURE, 2, 2},
  {"bVI", PART_PREDOMINANT, QF_USE_MIXTURE, 6, 6},
  {"N6", PART_CHROMATIC, QF_USE_NEAPOLITAN, 6, 2},
  {"It6", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "V"},
  {"Fr43", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "V"},
  {"Ger65", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "Cad64"},
};

static const Line minor_lines[] = {
  {"i", PART_TONIC, 0, 10, 1},
  {"i6", PART_TONIC, 0, 6, 1},
  {"VI", PART_TONIC, QF_USE_SECONDARY, 7, 6},
  {"III", PART_TONIC, QF_USE_SECONDARY, 4, 3},
  {"VII", PART_TONIC, QF_USE_SECONDARY, 4, 7, NULL, "III"},
  {"VI7", PART_TONIC, QF_USE_SEVENTHS, 2, 6, NULL, "ii/o65"},
  {"iio6", PART_PREDOMINANT, QF_USE_SECONDARY, 6, 2},
  {"ii/o7", PART_PREDOMINANT, QF_USE_SEVENTHS, 4, 2},
  {"ii/o65", PART_PREDOMINANT, QF_USE_SEVENTHS, 6, 2},
  {"ii/o43", PART_PREDOMINANT, QF_USE_SEVENTHS, 2, 2},
  {"ii/o42", PART_PREDOMINANT, QF_USE_SEVENTHS, 2, 2, NULL, "V65"},
  {"iv", PART_PREDOMINANT, 0, 8, 4},
  {"iv6", PART_PREDOMINANT, 0, 4, 4, NULL, "V"},
  {"iv7", PART_PREDOMINANT, QF_USE_SEVENTHS, 3, 4},
  {"V", PART_DOMINANT, 0, 8, 5},
  {"V6", PART_DOMINANT, 0, 5, 5},
  {"V7", PART_DOMINANT, 0, 8, 5},
  {"V65", PART_DOMINANT, 0, 5, 5},
  {"V43", PART_DOMINANT, 0, 4, 5},
  {"V42", PART_DOMINANT, 0, 4, 5},
  {"viio6", PART_DOMINANT, QF_USE_LEADING_TONE, 5, 7},
  {"viio7", PART_DOMINANT, QF_USE_LEADING_TONE, 5, 7},
  {"viio65", PART_DOMINANT, QF_USE_LEADING_TONE, 3, 7},
  {"viio43", PART_DOMINANT, QF_USE_LEADING_TONE, 2, 7},
  {"Cad64", PART_CADENTIAL, QF_USE_CADENTIAL, 10, 5},
  {"V64", PART_PASSING, QF_USE_SECONDARY, 5, 5, "i", "i6"},
  {"V64", PART_PASSING, QF_USE_SECONDARY, 5, 5, "i6", "i"},
  {"iv64", PART_PASSING, QF_USE_SECONDARY, 5, 4, "i", "i"},
  {"I", PART_TONIC, QF_USE_MIXTURE, 6, 1, NULL, NULL, true},
  {"N6", PART_CHROMATIC, QF_USE_NEAPOLITAN, 6, 2},
  {"It6", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "V"},
  {"Fr43", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "V"},
  {"Ger65", PART_CHROMATIC, QF_USE_AUGMENTED_SIXTHS, 6, 4, NULL, "Cad64"},
};

/// A degree that can be tonicized: a major or minor triad of the key
typedef struct {
  const char* numeral;
  int         degree;
  unsigned    weight;
  bool        is_minor;
  bool        has_plain_triad; ///< Its own V is no chord of the key already
} Target;

// Rule: MT21C "Secondary Dominants"; OMT "Applied chords".
static const Target major_targets[] = {
  {"ii", 2, 3, true, true}, {"iii", 3, 1, true, true}, {"IV", 4, 2, false, false},
  {"V", 5, 4, false, true}, {"vi", 6, 3, true, true},
};

static const Target minor_targets[] = {
  {"III", 3, 3, false, false}, {"iv", 4, 3, true, true},    {"V", 5, 4, false, true},
  {"VI", 6, 2, false, false},  {"VII", 7, 1, false, false},
};

/// A chord that can be applied
typedef struct {
  const char* numeral;
  unsigned    uses;
  unsigned    weight;
  bool        is_triad;
  bool        is_for_major; ///< Half-diminished: major targets only
} Applied;

// Rule: MT21C "Secondary Diminished Chords": minor targets take the fully diminished seventh.
static const Applied applied_lines[] = {
  {"V", QF_USE_APPLIED, 1, true, false},
  {"V6", QF_USE_APPLIED, 1, true, false},
  {"V7", QF_USE_APPLIED, 2, false, false},
  {"V65", QF_USE_APPLIED, 2, false, false},
  {"V43", QF_USE_APPLIED, 1, false, false},
  {"V42", QF_USE_APPLIED, 1, false, false},
  {"viio7", QF_USE_APPLIED_LEADING, 2, false, false},
  {"viio65", QF_USE_APPLIED_LEADING, 1, false, false},
  {"vii/o7", QF_USE_APPLIED_LEADING, 1, false, true},
};

enum {
  N_TARGETS           = 5,
  DEGREES             = 7,
  STEPS_TO_DOMINANT   = 4,
  DECEPTIVE_SHARE     = 4, ///< Parts of 10 that a deceptive turn keeps of its weight
  SAME_DEGREE_WEIGHT  = 6,
  RESOLUTION_WEIGHT   = 40,
  CHAIN_WEIGHT        = 30,
  PROLONGATION_WEIGHT = 8,
  WEIGHT_UNIT         = 10,
  WEIGHT_OF_DEGREE    = 240,
  RARITY              = 4,
};

/// The key in which basses are compared
static QfKey
model_key(const QfMode mode)
{
  const QfKey c = {{0, 0}, mode};
  return c;
}

static bool
is_allowed(const QfExerciseOptions* const options, const Word* const word)
{
  const int inversion = word->numeral.inversion;
  // The cadential six-four is no inversion of its own: it delays the dominant.
  const bool has_inversion = inversion == 0 || word->part == PART_CADENTIAL ||
                             (options->inversions & (1U << (unsigned)(inversion - 1)));
  const bool is_augmented_sixth =
    word->numeral.form >= QF_NUMERAL_ITALIAN && word->numeral.form <= QF_NUMERAL_SWISS;
  const bool is_neapolitan = word->numeral.form == QF_NUMERAL_NEAPOLITAN;

  return (word->uses & options->uses) == word->uses &&
         (has_inversion || is_augmented_sixth || is_neapolitan);
}

static void
add_word(Words* const words, const QfExerciseOptions* const options, Word word)
{
  QfChord chord;
  if (!is_allowed(options, &word) || words->n_words == MAX_WORDS ||
      qf_numeral_chord(&word.numeral, model_key(words->mode), &chord, NULL)) {
    return;
  }
  qf_chord_bass(chord, &word.bass);
  words->words[words->n_words++] = word;
}

/// True for the triad on a degree that was chosen to be tonicized: without it nothing could be
static bool
is_chosen_goal(const QfExerciseOptions* const options, const Line* const line)
{
  return line->uses == QF_USE_SECONDARY && line->part != PART_PASSING &&
         options->uses & (QF_USE_APPLIED | QF_USE_APPLIED_LEADING) &&
         options->applied_degrees & (1U << (unsigned)line->degree);
}

static void
add_line(Words* const words, const QfExerciseOptions* const options, const Line* const line)
{
  Word word = {.part    = line->part,
               .uses    = line->uses,
               .weight  = line->weight,
               .degree  = line->degree,
               .is_last = line->is_last};
  qf_numeral_parse(line->numeral, words->mode, &word.numeral, NULL);
  if (is_chosen_goal(options, line)) {
    word.uses = 0;
  }
  if (line->from) {
    word.has_from = true;
    qf_numeral_parse(line->from, words->mode, &word.from, NULL);
  }
  if (line->goal) {
    word.has_goal = true;
    qf_numeral_parse(line->goal, words->mode, &word.goal, NULL);
  }
  add_word(words, options, word);
}

static void
add_applied(Words* const                   words,
            const QfExerciseOptions* const options,
            const Applied* const           applied,
            const Target* const            target)
{
  const unsigned degrees = options->applied_degrees;
  if ((applied->is_triad && !target->has_plain_triad) ||
      (applied->is_for_major && (target->is_minor || target->degree == 3)) ||
      (degrees && !(degrees & (1U << (unsigned)target->degree)))) {
    return;
  }

  char text[QF_NUMERAL_TEXT_SIZE];
  snprintf(text, sizeof(text), "%s/%s", applied->numeral, target->numeral);

  Word word = {.part   = PART_APPLIED,
               .uses   = applied->uses,
               .weight = applied->weight * target->weight,
               .degree = (target->degree - 1 + STEPS_TO_DOMINANT) % DEGREES + 1,
               .target = target->degree};
  if (!qf_numeral_parse(text, words->mode, &word.numeral, NULL)) {
    add_word(words, options, word);
  }
}

/// Share the weight of a degree out among the words on it, however many there are
static void
set_shares(Words* const words)
{
  for (size_t i = 0; i < words->n_words; ++i) {
    Word* const word = &words->words[i];
    unsigned    sum  = 0;
    for (size_t j = 0; j < words->n_words; ++j) {
      const Word* const other = &words->words[j];
      sum += other->part == word->part && other->degree == word->degree ? other->weight : 0U;
    }
    word->share = WEIGHT_OF_DEGREE * word->weight / sum;
    // Chromatic chords are rare beside the plain ones; a six-four shares its degree with V.
    word->share = word->part == PART_CHROMATIC   ? word->share / RARITY
                  : word->part == PART_CADENTIAL ? word->share / 2U
                                                 : word->share;
  }
}

static const Target*
targets_of(const QfMode mode)
{
  _Static_assert(sizeof(major_targets) == N_TARGETS * sizeof(Target), "targets of major");
  _Static_assert(sizeof(minor_targets) == N_TARGETS * sizeof(Target), "targets of minor");
  return mode == QF_MAJOR ? major_targets : minor_targets;
}

void
words_make(const QfExerciseOptions* const options, const QfMode mode, Words* const result)
{
  const bool          is_major  = mode == QF_MAJOR;
  const Line* const   lines     = is_major ? major_lines : minor_lines;
  const size_t        n_lines   = is_major ? sizeof(major_lines) / sizeof(major_lines[0])
                                           : sizeof(minor_lines) / sizeof(minor_lines[0]);
  const Target* const targets   = targets_of(mode);
  const size_t        n_applied = sizeof(applied_lines) / sizeof(applied_lines[0]);

  result->mode    = mode;
  result->n_words = 0;
  for (size_t i = 0; i < n_lines; ++i) {
    add_line(result, options, &lines[i]);
  }
  for (size_t t = 0; t < N_TARGETS; ++t) {
    for (size_t i = 0; i < n_applied; ++i) {
      add_applied(result, options, &applied_lines[i], &targets[t]);
    }
  }
  set_shares(result);
}

unsigned
words_target_degrees(const QfMode mode)
{
  unsigned bits = 0;
  for (size_t t = 0; t < N_TARGETS; ++t) {
    bits |= 1U << (unsigned)targets_of(mode)[t].degree;
  }
  return bits;
}

size_t
words_find(const Words* const words, const QfNumeral* const numeral)
{
  size_t i = 0;
  while (i < words->n_words && !qf_numeral_equals(&words->words[i].numeral, numeral)) {
    ++i;
  }
  return i;
}

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
