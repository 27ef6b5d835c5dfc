// SPDX-License-Identifier: MIT
#ifndef QF_NOTE_ENTRY_H
#define QF_NOTE_ENTRY_H

#include "qf-caret.h"

/**
   What the commands and presses mean by which notes are written on a page.

   A lesson and a dictation are written alike: both windows ask here, and apply
   the answer to their own document.
*/

/// Letter of a name, 0 = C ... 6 = B, or -1 if it is none
int
qf_entry_letter(const char* name);

/// The step of a staff as a pitch, with the accidental that the signature has there
QfPitch
qf_entry_pitch_at_step(const QfScore* score, QfTime time, int step);

/// Steps of the scale that a command ("step-up", "octave-down") moves a note by, or 0
int
qf_entry_steps(const char* action);

/**
   The pitch a command ("sharpen", "flatten") makes of another.

   @return #QF_ERR_RANGE with a sentence past a double sharp or flat.
*/
QfStatus
qf_entry_alter(const char* action, QfPitch pitch, QfPitch* result, QfError* error);

/// A note value the caret can have, nearest to the one wanted
int8_t
qf_entry_value(int wanted);

/// Where a command ("caret-left", "caret-bar-right", "caret-end") puts the caret
QfTime
qf_entry_move(const QfScore* score, const char* action, QfTime time);

/// The voice above or below, as a command ("voice-up", "voice-down") says; at the top it stays
size_t
qf_entry_voice_beside(const char* action, size_t voice);

/// The caret once a place of a staff is pressed where no note is
QfCaret
qf_entry_point(const QfScore* score, QfCaret caret, size_t staff, int step, QfTime time);

#endif // QF_NOTE_ENTRY_H
