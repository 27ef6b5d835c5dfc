// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TESTS_PASSAGE_H
#define QUINTFALL_TESTS_PASSAGE_H

#include "quintfall/label.h"

/// A passage of block chords being built
typedef struct {
  QfScore* score; ///< Owned
  size_t   n_voices;
  QfTime   end;
} Passage;

/// Begin a passage in common time; voices from the highest to the lowest
Passage
passage_new(QfKey key, size_t n_voices);

/// Append a chord: as many pitches as voices, from the highest down, as text ("F#4"; "" is a rest)
void
passage_add(Passage* passage, const char* const* pitches, QfTime duration);

/// The same with pitches
void
passage_add_pitches(Passage* passage, const QfPitch* pitches, size_t n_pitches, QfTime duration);

/// Label in a declared key
QfLabels*
passage_label(const Passage* passage, QfKey key, bool may_modulate);

void
passage_free(Passage* passage);

/// Text of a link's numeral, "?" if it is unknown
const char*
link_text(const QfLabels* labels, size_t index, char buffer[QF_NUMERAL_TEXT_SIZE]);

/// All links' numerals with spaces between
void
labels_text(const QfLabels* labels, char* buffer, size_t size);

/// Read a key or fail the test
QfKey
key_of(const char* tonic, const char* mode);

#endif // QUINTFALL_TESTS_PASSAGE_H
