// SPDX-License-Identifier: MIT
// The reader of RomanText while it goes through a file.
#ifndef QUINTFALL_FORMATS_ROMANTEXT_READER_H
#define QUINTFALL_FORMATS_ROMANTEXT_READER_H

#include "romantext.h"

/// A stretch of the file's text
typedef struct {
  const char* start;
  const char* end;
} RomanSpan;

/// What one measure says, kept so that later lines can copy it
typedef struct {
  int       number;
  char      suffix;
  RomanSpan content;
  bool      has_key; ///< Where it begins
  QfKey     key;
} RomanMeasure;

/// Where the words of a measure go
typedef struct {
  bool keeps_items;
  bool adds_chords;
} RomanSink;

typedef struct {
  QfRomanText*  roman;
  QfError*      error;
  size_t        chords_capacity;
  size_t        lines_capacity;
  size_t        items_capacity;
  RomanMeasure* measures;
  size_t        n_measures;
  size_t        measures_capacity;
  bool          has_metre;
  bool          has_key;
  QfKey         key;
  bool          has_chord;
  QfRomanChord  chord;  ///< The last one
  int           number; ///< Of the measure last seen, or -1
  int           line;
} RomanReader;

QfStatus
roman_no_memory(QfError* error);

/// Give the fault already recorded its place; the message shows measure and beat
QfStatus
roman_place(const RomanReader* reader, int measure, const char* beat);

/// Room for one more in a growing array; false if memory ran out
bool
roman_reserve(void** data, size_t n_items, size_t* capacity, size_t size);

void
roman_skip_space(RomanSpan* span);

/// Begin a line; its texts are copied, NULL stays NULL
QfStatus
roman_keep_line(RomanReader* reader, QfRomanLine line, const RomanSpan* tag, const RomanSpan* text);

/// Read the keys, chords and signs of a measure
QfStatus
roman_read_words(RomanReader* reader, RomanMeasure measure, RomanSink sink);

/// Read a line that begins with `m` and a number
QfStatus
roman_read_measure(RomanReader* reader, RomanSpan span);

#endif // QUINTFALL_FORMATS_ROMANTEXT_READER_H
