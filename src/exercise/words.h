// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_EXERCISE_WORDS_H
#define QUINTFALL_SRC_EXERCISE_WORDS_H

#include "quintfall/exercise.h"

/// Parts of a phrase that chords play
typedef enum {
  PART_TONIC,
  PART_PREDOMINANT,
  PART_DOMINANT,
  PART_CADENTIAL, ///< Cadential six-four
  PART_APPLIED,
  PART_CHROMATIC, ///< Predominants with fixed goals: Neapolitan, augmented sixths
  PART_PASSING,   ///< Six-fours between two given chords
} WordPart;

enum {
  MAX_WORDS = 128,
};

/// A chord of the vocabulary
typedef struct {
  QfNumeral  numeral;
  WordPart   part;
  unsigned   uses;    ///< #QfUse bits it needs, all of them
  unsigned   weight;  ///< How usual it is, 1-10
  unsigned   share;   ///< Its part of the weight of its degree
  int        degree;  ///< Of its root, 1-7, for the weights of progressions
  int        target;  ///< Degree an applied chord leads to, or 0
  QfNoteName bass;    ///< In the model key, for comparing
  bool       is_last; ///< Only at the very end
  bool       has_from;
  QfNumeral  from; ///< What a passing chord comes from
  bool       has_goal;
  QfNumeral  goal; ///< Where it must go
} Word;

/// Chords of one mode that the options allow
typedef struct {
  QfMode mode;
  size_t n_words;
  Word   words[MAX_WORDS];
} Words;

/// Fill the vocabulary of a mode
void
words_make(const QfExerciseOptions* options, QfMode mode, Words* result);

/// Bits of the degrees that a mode can tonicize
unsigned
words_target_degrees(QfMode mode);

/// Index of a numeral among the words, or `n_words`
size_t
words_find(const Words* words, const QfNumeral* numeral);

/// How usual it is that one word follows another, 0 for never
unsigned
words_step(const Words* words, QfWeights weights, size_t from, size_t to);

/// True if an applied dominant leads to another one
bool
words_is_chained(const Words* words, size_t from, size_t to);

/// How usual it is as the first chord, 0 for never
unsigned
words_start(const Words* words, size_t first);

/// How usual an ending is, 0 if it is none
unsigned
words_end(const Words* words, size_t from, size_t last, bool is_very_last);

/// How often a degree follows another, 0-100
unsigned
degree_weight(QfWeights weights, QfMode mode, int from, int to);

#endif // QUINTFALL_SRC_EXERCISE_WORDS_H
