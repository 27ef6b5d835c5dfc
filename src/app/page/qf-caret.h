// SPDX-License-Identifier: MIT
#ifndef QF_CARET_H
#define QF_CARET_H

#include "quintfall/score.h"
#include "quintfall/solfege.h"

/**
   The place where the next note is written.

   A plain value: the window keeps one and asks these functions where it goes.
*/
typedef struct {
  size_t voice; ///< Index in the score
  QfTime time;
  int8_t value; ///< Note value as log2 of its fraction: 0 whole, 2 quarter, 4 sixteenth
  bool   is_dotted;
} QfCaret;

/// Length of the note the caret would write
QfTime
qf_caret_duration(QfCaret caret);

/// Next beat or start of a note after a time, at most the score's end
QfTime
qf_caret_next_stop(const QfScore* score, QfTime time);

/// Last beat or start of a note before a time, at least the score's start
QfTime
qf_caret_previous_stop(const QfScore* score, QfTime time);

/// Start of the bar after a time, or the score's end
QfTime
qf_caret_next_bar(const QfScore* score, QfTime time);

/// Start of the bar, or of the one before if the time is a bar's start already
QfTime
qf_caret_previous_bar(const QfScore* score, QfTime time);

/// Length of a beat of the metre at a time
QfTime
qf_caret_beat(const QfScore* score, QfTime time);

/// The pitch of a letter nearest to the note before the caret, as the signature has it
QfPitch
qf_caret_nearest_pitch(const QfScore* score, QfCaret caret, int letter);

/// A voice of a staff to write in: the present one if it is written there, else the nearest
size_t
qf_caret_voice_on_staff(const QfScore* score, QfCaret caret, size_t staff, int step);

/// Move by staff steps, with the accidental of a signature
QfPitch
qf_pitch_move_steps(QfPitch pitch, int steps, QfKey signature);

/// "quarter", "dotted half"; at least 40 bytes
void
qf_duration_speak(QfTime duration, char* buffer, size_t size);

/// "Bar 2 beat 1, Alto, F sharp 4, quarter"; at least 200 bytes
void
qf_caret_describe(const QfScore* score,
                  QfCaret        caret,
                  QfNamingKind   naming,
                  char*          buffer,
                  size_t         size);

/// "Bar 2, beat 1½" of a time; at least 64 bytes
void
qf_place_speak(const QfScore* score, QfTime time, char* buffer, size_t size);

#endif // QF_CARET_H
