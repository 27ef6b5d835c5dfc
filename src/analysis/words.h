// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_ANALYSIS_WORDS_H
#define QUINTFALL_ANALYSIS_WORDS_H

#include "quintfall/solfege.h"

/// "F sharp"; at least 40 bytes
void
qf_word_note(QfNoteName note, QfNamingKind naming, char* buffer, size_t size);

/// "F sharp minor"; at least 48 bytes
void
qf_word_key(QfKey key, QfNamingKind naming, char* buffer, size_t size);

/// "G, B, D and F": the notes of a mask of bits (see qf_note_bit())
void
qf_word_notes_of_mask(uint64_t mask, QfNamingKind naming, char* buffer, size_t size);

/// "a" or "an"
const char*
qf_word_article(const char* word);

#endif // QUINTFALL_ANALYSIS_WORDS_H
