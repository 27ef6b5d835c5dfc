// SPDX-License-Identifier: MIT
#include "word_tables.h"

#include <stdio.h>

enum {
  DEGREES           = 7,
  STEPS_TO_DOMINANT = 4,
  WEIGHT_OF_DEGREE  = 240,
  RARITY            = 4, ///< Of chromatic chords beside the plain ones
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
is_chosen_goal(const QfExerciseOptions* const options, const WordLine* const line)
{
  return line->uses == QF_USE_SECONDARY && line->part != PART_PASSING &&
         options->uses & (QF_USE_APPLIED | QF_USE_APPLIED_LEADING) &&
         options->applied_degrees & (1U << (unsigned)line->degree);
}

static void
add_line(Words* const words, const QfExerciseOptions* const options, const WordLine* const line)
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
            const AppliedLine* const       applied,
            const WordTarget* const        target)
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

void
words_make(const QfExerciseOptions* const options, const QfMode mode, Words* const result)
{
  size_t                   n_lines   = 0;
  size_t                   n_applied = 0;
  const WordLine* const    lines     = word_lines(mode, &n_lines);
  const WordTarget* const  targets   = word_targets(mode);
  const AppliedLine* const applied   = applied_lines(&n_applied);

  result->mode    = mode;
  result->n_words = 0;
  for (size_t i = 0; i < n_lines; ++i) {
    add_line(result, options, &lines[i]);
  }
  for (size_t t = 0; t < N_TARGETS; ++t) {
    for (size_t i = 0; i < n_applied; ++i) {
      add_applied(result, options, &applied[i], &targets[t]);
    }
  }
  set_shares(result);
}

unsigned
words_target_degrees(const QfMode mode)
{
  unsigned bits = 0;
  for (size_t t = 0; t < N_TARGETS; ++t) {
    bits |= 1U << (unsigned)word_targets(mode)[t].degree;
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
