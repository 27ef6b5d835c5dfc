// SPDX-License-Identifier: MIT
// The writer of MusicXML while it goes through a score.
// Source of every element's place: MusicXML 4.0 documentation, W3C Music Notation Community Group.
#ifndef QUINTFALL_FORMATS_MUSICXML_WRITER_H
#define QUINTFALL_FORMATS_MUSICXML_WRITER_H

#include "quintfall/formats.h"
#include "quintfall/spelling.h"
#include "quintfall/text.h"

typedef struct {
  const QfScore*  score;
  const QfLabels* labels;
  QfText          text;
  int64_t         divisions;
  QfSymbols       symbols[QF_MAX_VOICES];
  size_t          next[QF_MAX_VOICES]; ///< First symbol of each voice that is not yet written
  QfAccidental*   accidentals;         ///< In order of their notes
  size_t          n_accidentals;
  size_t          next_label;
} Writer;

/// Voices of one staff, and the place of one among them
typedef struct {
  size_t index; ///< From 1, the number of the `voice` element
  size_t count;
} Rank;

Rank
writer_rank_of(const QfScore* score, size_t voice);

/// Order accidentals by their notes; for qsort() and bsearch()
int
writer_compare_accidentals(const void* left, const void* right);

/// Go forward or back between things that do not follow one another
void
writer_move(Writer* writer, QfTime from, QfTime to);

/// Write the labels that begin before a time, from where the document now stands
void
writer_add_harmonies(Writer* writer, QfTime here, QfTime until);

/// Write one voice's part of a bar, the labels with it if it is the first of all; gives where it
/// ends
QfTime
writer_add_voice(Writer* writer, const QfBar* bar, size_t voice, bool has_labels);

/// Write one staff's part of a bar
void
writer_add_measure(Writer* writer, size_t staff, size_t index);

#endif // QUINTFALL_FORMATS_MUSICXML_WRITER_H
