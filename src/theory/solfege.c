// SPDX-License-Identifier: MIT
#include "quintfall/solfege.h"

#include "accidental.h"

#include <stdio.h>

// Chromatic syllables by degree of the major scale, lowered, natural, raised.
// Source: Open Music Theory, "Chromatic solfege".
static const char* const syllables[7][3] = {
  {"?", "do", "di"},   {"ra", "re", "ri"}, {"me", "mi", "?"}, {"?", "fa", "fi"},
  {"se", "sol", "si"}, {"le", "la", "li"}, {"te", "ti", "?"},
};

// Common practice in the countries that name notes by syllables
static const char* const fixed_syllables[7] = {"do", "re", "mi", "fa", "sol", "la", "si"};

const char*
qf_solfege(const QfNoteName note, const QfKey key, const QfSolfegeKind kind)
{
  if (kind == QF_SOLFEGE_FIXED) {
    return fixed_syllables[note.letter];
  }

  // Do is the tonic, or in la-based minor the tonic of the relative major
  const bool  on_la = kind == QF_SOLFEGE_LA_MINOR && key.mode == QF_MINOR;
  const QfKey home  = {on_la ? qf_key_relative(key).tonic : key.tonic, QF_MAJOR};

  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(home, note, &degree, &alter);
  return alter >= -1 && alter <= 1 ? syllables[degree - 1][alter + 1] : "?";
}

void
qf_scale_degree_write(const QfNoteName note,
                      const QfKey      key,
                      const bool       unicode,
                      char* const      buffer,
                      const size_t     size)
{
  int degree = 0;
  int alter  = 0;
  qf_key_degree_of(key, note, &degree, &alter);

  char sign[QF_ACCIDENTAL_SIZE];
  qf_accidental_write(alter, unicode, sign, sizeof(sign));
  snprintf(buffer, size, "%s%d", sign, degree);
}
