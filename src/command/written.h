// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_WRITTEN_H
#define QUINTFALL_SRC_COMMAND_WRITTEN_H

#include "lines.h"

/// A chain written out, to be put into a file
typedef struct {
  const QfLink*  links;
  size_t         n_links;
  const QfPitch* pitches; ///< Chord by chord, highest first
  size_t         n_voices;
  QfKey          key;
  QfMetre        metre;
  QfTime         pickup;
  bool           is_keyboard;                  ///< All voices but the lowest on the upper staff
  const char*    title;                        ///< Or NULL
  const Line*    lines[QF_WRITING_MAX_VOICES]; ///< Voices that are written as they were read, or
                                               ///< NULL; the first has the bars to write into
} Written;

/// Write it as whatever the path's ending says; complains itself
QfExit
written_export(const Written* written, const char* path);

#endif // QUINTFALL_SRC_COMMAND_WRITTEN_H
