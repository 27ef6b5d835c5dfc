// SPDX-License-Identifier: MIT
#include "lead_in.h"

#include "channels.h"

#include "quintfall/pitch.h"

#include <math.h>

enum {
  N_CHORDS      = 4,
  N_TONES       = 4,
  VELOCITY      = 66,
  REST_BEATS    = 1,
  HIGHEST_TONIC = 108, ///< The chords reach an octave above the tonic, and one below it
  LOWEST_TONIC  = 12,
};

// Slower or faster chords than these do not settle an ear.
static const double shortest_beat_s = 0.45;
static const double longest_beat_s  = 0.9;

/// One chord of the prelude
typedef struct {
  int8_t semitones[N_TONES]; ///< From the tonic, the bass first
  int8_t beats;
} PreludeChord;

// I IV V7 I in close position over its basses, common tones kept and the leading
// tone and seventh resolved; V7 is incomplete with doubled root. Common practice.
static const PreludeChord chords[][N_CHORDS] = {
  [QF_MAJOR] = {{{-12, 4, 7, 12}, 1},
                {{-7, 5, 9, 12}, 1},
                {{-5, 5, 7, 11}, 1},
                {{-12, 4, 7, 12}, 2}},
  [QF_MINOR] = {{{-12, 3, 7, 12}, 1},
                {{-7, 5, 8, 12}, 1},
                {{-5, 5, 7, 11}, 1},
                {{-12, 3, 7, 12}, 2}},
};

/// The tonic whose chords lie nearest to a centre
static int
tonic_near(const QfKey key, const double centre)
{
  // The chords' own middle is their tonic: they span an octave to either side.
  const int pitch_class = qf_note_name_semitones(key.tonic);
  const int octave      = (int)lround((centre - pitch_class) / 12.0);
  int       tonic       = pitch_class + 12 * octave;
  while (tonic < LOWEST_TONIC) {
    tonic += 12;
  }
  while (tonic > HIGHEST_TONIC) {
    tonic -= 12;
  }
  return tonic;
}

double
qf_prelude_add(QfEventList* const list,
               const QfKey        key,
               const double       centre,
               const double       beat_s,
               const int          program)
{
  const int    tonic = tonic_near(key, centre);
  const double beat  = fmin(fmax(beat_s, shortest_beat_s), longest_beat_s);
  double       at    = 0.0;

  qf_event_list_add_setup(list, QF_CHANNEL_PRELUDE, program, 0.0);
  for (size_t i = 0; i < N_CHORDS; ++i) {
    const PreludeChord* const chord = &chords[key.mode][i];
    const double              end   = at + chord->beats * beat;
    for (size_t tone = 0; tone < N_TONES; ++tone) {
      qf_event_list_add_note(list, (QfSoundedNote){.start_s = at,
                                                   .end_s   = end,
                                                   .channel = QF_CHANNEL_PRELUDE,
                                                   .key = (uint8_t)(tonic + chord->semitones[tone]),
                                                   .velocity   = VELOCITY,
                                                   .score_time = QF_NOT_IN_SCORE});
    }

    at = end;
  }

  return at + REST_BEATS * beat;
}
