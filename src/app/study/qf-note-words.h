// SPDX-License-Identifier: MIT
#ifndef QF_NOTE_WORDS_H
#define QF_NOTE_WORDS_H

#include "quintfall/pitch.h"
#include "quintfall/solfege.h"

#include <stddef.h>

/// How note words are understood
typedef struct {
  QfKey         key;
  QfSolfegeKind solfege;
} QfNoteWordSense;

/// A note as it was typed
typedef struct {
  QfNoteName name;
  bool       has_octave;
  int8_t     octave;
  bool       is_degree; ///< Typed as a degree or syllable, which has no octave
} QfNoteWord;

/**
   Read one note word: a letter with accidentals and maybe an octave ("F#", "Bb3"),
   a scale degree of the key ("5", "#4", "b7") or a solfège syllable ("fi").

   A syllable is looked for first, then a degree, then a letter.
   @return #QF_ERR_BAD_TEXT with what was expected.
*/
QfStatus
qf_note_word_parse(const char* text, QfNoteWordSense sense, QfNoteWord* result, QfError* error);

/// The pitch of a word nearest to another pitch, unless the word has its octave
QfPitch
qf_note_word_near(QfNoteWord word, QfPitch from);

#endif // QF_NOTE_WORDS_H
