// SPDX-License-Identifier: MIT
#include "quintfall/solfege.h"

#include "accidental.h"

#include <stdio.h>
#include <string.h>

enum {
  LETTER_E = 2,
  LETTER_A = 5,
  LETTER_B = 6,
};

static const char* const english[7] = {"C", "D", "E", "F", "G", "A", "B"};
static const char* const german[7]  = {"C", "D", "E", "F", "G", "A", "H"};
static const char* const romance[7] = {"Do", "Re", "Mi", "Fa", "Sol", "La", "Si"};

// German note names, from memory: each sharp adds "is", each flat "es"; E and A drop the vowel
// (Es, As; Eses, Asas); B flat is "B", B double flat "Heses".
static void
spell_german(const QfNoteName name, char* const buffer, const size_t size)
{
  if (name.letter == LETTER_B && name.alter == -1) {
    snprintf(buffer, size, "B");
    return;
  }

  const bool        is_vowel = name.letter == LETTER_E || name.letter == LETTER_A;
  const char* const first    = name.alter > 0 ? "is" : is_vowel ? "s" : "es";
  const char* const flat     = name.letter == LETTER_A ? "as" : "es";
  const int         n        = name.alter < 0 ? -name.alter : name.alter;
  size_t            length   = (size_t)snprintf(buffer, size, "%s", german[name.letter]);
  for (int i = 0; i < n && length < size; ++i) {
    const char* const ending = !i ? first : name.alter > 0 ? "is" : flat;
    length += (size_t)snprintf(buffer + length, size - length, "%s", ending);
  }
}

void
qf_note_name_spell_out(const QfNoteName   name,
                       const QfNamingKind kind,
                       char* const        buffer,
                       const size_t       size)
{
  if (kind == QF_NAMING_GERMAN) {
    spell_german(name, buffer, size);
    return;
  }

  char sign[QF_ACCIDENTAL_SIZE];
  qf_accidental_write(name.alter, true, sign, sizeof(sign));
  const char* const* const letters = kind == QF_NAMING_ROMANCE ? romance : english;
  snprintf(buffer, size, "%s%s", letters[name.letter], sign);
}

void
qf_note_name_speak(const QfNoteName   name,
                   const QfNamingKind kind,
                   char* const        buffer,
                   const size_t       size)
{
  static const char* const times[] = {"", " ", " double ", " triple ", " quadruple "};

  if (kind == QF_NAMING_GERMAN) {
    spell_german(name, buffer, size);
    return;
  }

  const char* const* const letters = kind == QF_NAMING_ROMANCE ? romance : english;
  const int                n       = name.alter < 0 ? -name.alter : name.alter;
  const char* const        word    = !n ? "" : name.alter < 0 ? "flat" : "sharp";
  snprintf(buffer, size, "%s%s%s", letters[name.letter], n <= QF_MAX_ALTER ? times[n] : " ", word);
}
