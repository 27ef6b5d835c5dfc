// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_LINES_H
#define QUINTFALL_SRC_COMMAND_LINES_H

#include "command.h"

#include "quintfall/harmonise.h"

/// A melody or a bass, from text or from a voice of a file
typedef struct {
  QfGivenNote* notes; ///< Owned
  size_t       n_notes;
  QfKey        key; ///< Of the file
  QfMetre      metre;
  QfTime       pickup;
  QfLesson*    lesson; ///< The file, or NULL; owned
  size_t       voice;  ///< In the file
} Line;

/// Read "E5 D5 | C5(2) || ..." or a bass "C3: F3:6"
QfStatus
line_parse(const char* text, QfMetre metre, Line* result, QfError* error);

/// What to read from a file
typedef struct {
  const char* path;
  const char* voice;        ///< By name, or number from 1; NULL for the outer one
  bool        is_bass;      ///< The lowest voice is the outer one, and its figures count
  bool        is_each_beat; ///< Notes off the beat are no chord's own
} LineSource;

/// Read a voice of any file that can be opened; complains itself
QfExit
line_read(LineSource source, Line* result);

void
line_clear(Line* line);

#endif // QUINTFALL_SRC_COMMAND_LINES_H
