// SPDX-License-Identifier: MIT
#include "lead_in.h"

#include "channels.h"
#include "clock.h"

#include "quintfall/pitch.h"

#include <math.h>

enum {
  VELOCITY    = 66,
  HIGHEST_KEY = 127,
  OCTAVE      = 12,
};

QfTime
qf_prelude_beat(const QfTime beat_s)
{
  return qf_time_min(qf_time_max(beat_s, qf_time(9, 20)), qf_time(9, 10));
}

/// Semitones of a tone above the tonic
static int
semitones_of(const QfPatternTone* const tone, const QfKey key)
{
  // Source: Open Music Theory, "Scales"; natural minor in minor. Common practice.
  static const int8_t degrees[][7] = {
    [QF_MAJOR] = {0, 2, 4, 5, 7, 9, 11}, [QF_MINOR] = {0, 2, 3, 5, 7, 8, 10}};
  return degrees[key.mode][tone->degree - 1] + tone->alter + OCTAVE * tone->octave;
}

/// The tonic over which a pattern lies nearest to a centre
static int
tonic_near(const QfPattern* const pattern, const QfKey key, const double centre)
{
  int lowest  = semitones_of(&pattern->tones[0], key);
  int highest = lowest;
  for (size_t i = 1; i < pattern->n_tones; ++i) {
    const int semitones = semitones_of(&pattern->tones[i], key);
    lowest              = semitones < lowest ? semitones : lowest;
    highest             = semitones > highest ? semitones : highest;
  }

  const int    pitch_class = qf_note_name_semitones(key.tonic);
  const double wanted      = centre - (lowest + highest) / 2.0 - pitch_class;
  int          tonic       = pitch_class + OCTAVE * (int)lround(wanted / OCTAVE);
  while (tonic + lowest < 0) {
    tonic += OCTAVE;
  }
  while (tonic + highest > HIGHEST_KEY) {
    tonic -= OCTAVE;
  }
  return tonic;
}

QfTime
qf_prelude_add(QfEventList* const     list,
               const QfPattern* const pattern,
               const QfKey            key,
               const double           centre,
               const QfTime           start_s,
               const QfTime           beat_s,
               const int              program)
{
  const int tonic = tonic_near(pattern, key, centre);
  qf_event_list_add_setup(list, qf_time_to_double(start_s), QF_CHANNEL_PRELUDE, program, 0.0);
  for (size_t i = 0; i < pattern->n_tones; ++i) {
    const QfPatternTone* const tone     = &pattern->tones[i];
    const QfTime               end      = qf_time_add(tone->start, tone->duration);
    const int                  midi_key = tonic + semitones_of(tone, key);
    if (midi_key < 0) { // A pattern wider than all keys loses its lowest tones
      continue;
    }
    qf_event_list_add_note(list, (QfSoundedNote){.start_s = qf_moment(start_s, tone->start, beat_s),
                                                 .end_s   = qf_moment(start_s, end, beat_s),
                                                 .channel = QF_CHANNEL_PRELUDE,
                                                 .key     = (uint8_t)midi_key,
                                                 .velocity   = VELOCITY,
                                                 .voice      = QF_NO_VOICE,
                                                 .score_time = QF_NOT_IN_SCORE});
  }
  return qf_time_mul(pattern->length, beat_s);
}
