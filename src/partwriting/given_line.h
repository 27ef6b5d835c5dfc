// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_GIVEN_LINE_H
#define QUINTFALL_PARTWRITING_GIVEN_LINE_H

#include "functions.h"
#include "stages.h"

enum {
  MAX_WORDS = 48,
};

/// A line, and the chords that may be set to it
typedef struct {
  Lexicon            lexicon; ///< First, so that its functions find the rest
  const QfGivenNote* notes;
  size_t             n_notes;
  QfHarmoniseOptions options;
  const Word*        words;
  QfNumeral          numerals[MAX_WORDS];
  Sonority           sonorities[MAX_WORDS];
  uint8_t            classes[MAX_WORDS];
  bool               is_known[MAX_WORDS];
} GivenLine;

/// Find what chords can be set to a line, and what they cost; the notes are lent
void
given_line_prepare(GivenLine*         line,
                   const QfGivenNote* notes,
                   size_t             n_notes,
                   QfHarmoniseOptions options);

bool
given_line_on_downbeat(const GivenLine* line, size_t note);

#endif // QUINTFALL_PARTWRITING_GIVEN_LINE_H
