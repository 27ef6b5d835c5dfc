// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_CHORD_SHAPES_H
#define QUINTFALL_SRC_CHORD_SHAPES_H

#include "quintfall/chord.h"

#include <stdint.h>

typedef struct {
  int8_t steps;
  int8_t semitones;
} QfChordMember;

/// One line of the table of chord qualities
typedef struct {
  const char*   id;
  const char*   symbol; ///< Suffix of the chord symbol
  const char*   name;
  int8_t        size;
  QfChordMember members[QF_CHORD_MAX_NOTES];
} QfChordShape;

const QfChordShape*
qf_chord_shape(QfChordKind kind);

#endif // QUINTFALL_SRC_CHORD_SHAPES_H
