// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_LESSON_WORDS_H
#define QUINTFALL_LESSON_WORDS_H

#include "quintfall/score.h"

#define LESSON_FORMAT "quintfall-lesson"

/// Words for clefs in a lesson file
extern const char* const clef_words[QF_CLEF_N_KINDS];

/// Size of a text that names the place of an object in a lesson file
enum { PLACE_SIZE = 64 };

#endif // QUINTFALL_LESSON_WORDS_H
