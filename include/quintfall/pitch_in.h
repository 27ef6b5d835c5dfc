// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PITCH_IN_H
#define QUINTFALL_PITCH_IN_H

#include "quintfall/tuning.h"

#include <stdbool.h>

/// What a microphone hears at a moment
typedef struct {
  double at_s;       ///< Seconds since listening began, to the middle of what was looked at
  double hz;         ///< 0 where no pitch was found
  double confidence; ///< 0-1
  double level_db;   ///< Root mean square, relative to full scale; -120 for silence
} QfPitchFrame;

typedef enum {
  QF_SUNG_NOTHING, ///< Too soft, or no pitch in it
  QF_SUNG_IN_TUNE,
  QF_SUNG_SHARP,
  QF_SUNG_FLAT,
  QF_SUNG_WRONG, ///< Nearer to another note
} QfSungKind;

/// What is accepted; all zero is equal temperament at 440 Hz and the usual tolerance
typedef struct {
  QfTuning tuning;
  double   tolerance_cents; ///< In tune up to here; 0 for the usual 20
  bool     any_octave;      ///< The note is right in any octave
} QfSungOptions;

/// How something sung compares with the note expected
typedef struct {
  QfSungKind kind;
  double     cents; ///< Over the note expected, or under it; in its nearest octave if any will do
  int        sung_key; ///< MIDI key nearest to what was sung, -1 if nothing was
} QfSung;

/**
   Compare one moment with the note expected then.

   More than half a semitone off is another note. Up to 20 cents off is in
   tune: listeners with training took sung intervals 20 to 25 cents off for
   right (Vurma and Ross, Music Perception 23, 2006; from memory).
*/
QfSung
qf_sung_judge(QfPitchFrame frame, int expected_key, QfSungOptions options);

/// Compare all moments of one note: by the median of those that have a pitch, if a third have
QfSung
qf_sung_judge_note(const QfPitchFrame* frames,
                   size_t              n_frames,
                   int                 expected_key,
                   QfSungOptions       options);

/// English for a kind: "in tune", "sharp", "flat", "another note", "nothing heard"
const char*
qf_sung_kind_text(QfSungKind kind);

/**
   Follows the pitch in the microphone, from a thread of its own.

   What is heard is looked at and forgotten: nothing is kept, written or sent.
*/
typedef struct QfPitchInImpl QfPitchIn;

/**
   Start listening.

   @param device Name of an ALSA capture device, NULL for the system's usual one, "null" for none:
   then nothing is heard but what qf_pitch_in_feed() is given.
   @param[out] result (transfer full)
   @return #QF_ERR_MISSING with what the system said if there is no microphone.
*/
QfStatus
qf_pitch_in_new(const char* device, QfPitchIn** result, QfError* error);

/// Stop listening; NULL is fine
void
qf_pitch_in_free(QfPitchIn* pitch_in);

/// Take the oldest frame not yet taken; false if there is none
bool
qf_pitch_in_poll(QfPitchIn* pitch_in, QfPitchFrame* frame);

/// False once the microphone was lost
bool
qf_pitch_in_is_listening(const QfPitchIn* pitch_in);

/// Samples a second that qf_pitch_in_feed() takes
int
qf_pitch_in_get_rate(const QfPitchIn* pitch_in);

/// Give samples of one channel in place of a microphone; only where the device is "null"
void
qf_pitch_in_feed(QfPitchIn* pitch_in, const float* samples, size_t n_samples);

#endif // QUINTFALL_PITCH_IN_H
