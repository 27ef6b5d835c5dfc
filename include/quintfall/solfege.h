// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SOLFEGE_H
#define QUINTFALL_SOLFEGE_H

#include "quintfall/key.h"

typedef enum {
  QF_SOLFEGE_DO_MINOR, ///< Movable do, minor keys on do (me le te)
  QF_SOLFEGE_LA_MINOR, ///< Movable do, minor keys on la
  QF_SOLFEGE_FIXED,    ///< Fixed do: letter names, no chromatic syllables
} QfSolfegeKind;

/// Syllable of a note in a key, never NULL; "?" where the practice has none
const char*
qf_solfege(QfNoteName note, QfKey key, QfSolfegeKind kind);

/// Write a degree against the signature: "5", "#4", "b7"; Unicode accidentals on request
void
qf_scale_degree_write(QfNoteName note, QfKey key, bool unicode, char* buffer, size_t size);

/// Conventions for naming notes
typedef enum {
  QF_NAMING_ENGLISH, ///< C D E F G A B, "F sharp"
  QF_NAMING_GERMAN,  ///< C D E F G A H, "Fis", "B" is B flat
  QF_NAMING_ROMANCE, ///< Do Re Mi Fa Sol La Si, Italian and French
} QfNamingKind;

/// Write a note's name for reading: "F♯", "Fis", "Fa♯"; at least 24 bytes
void
qf_note_name_spell_out(QfNoteName name, QfNamingKind kind, char* buffer, size_t size);

/// Write a note's name for speaking: "F sharp", "Fis", "Fa sharp"; at least 40 bytes
void
qf_note_name_speak(QfNoteName name, QfNamingKind kind, char* buffer, size_t size);

#endif // QUINTFALL_SOLFEGE_H
