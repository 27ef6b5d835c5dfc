// SPDX-License-Identifier: MIT
#ifndef QF_HEARING_LEAD_IN_H
#define QF_HEARING_LEAD_IN_H

#include "event_list.h"

#include "quintfall/key.h"

/**
   Add the chords that set the key: tonic, subdominant, dominant seventh, tonic.

   @param key Key to set.
   @param centre MIDI key about which the chords lie.
   @param beat_s One beat of the passage that follows.
   @param program General MIDI program.
   @return Seconds until the next thing may begin.
*/
double
qf_prelude_add(QfEventList* list, QfKey key, double centre, double beat_s, int program);

/**
   Add the beats before the passage, from a downbeat on: one bar, and what the
   passage's first bar lacks.

   @param metre Metre of the first bar.
   @param position Where in the full bar the passage begins.
   @param start_s When to begin.
   @param seconds_per_whole Length of a whole note.
   @return Seconds until the passage begins, counted from `start_s`.
*/
double
qf_count_in_add(QfEventList* list,
                QfMetre      metre,
                QfTime       position,
                double       start_s,
                double       seconds_per_whole);

#endif // QF_HEARING_LEAD_IN_H
