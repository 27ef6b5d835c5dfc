// SPDX-License-Identifier: MIT
#ifndef QF_HEARING_LEAD_IN_H
#define QF_HEARING_LEAD_IN_H

#include "event_list.h"

#include "quintfall/key.h"

/**
   Add what sets the key.

   @param pattern Degrees of the key.
   @param centre MIDI key about which it lies.
   @param beat_s One beat of it.
   @param program General MIDI program.
   @return Seconds until the next thing may begin, counted from `start_s`.
*/
QfTime
qf_prelude_add(QfEventList*     list,
               const QfPattern* pattern,
               QfKey            key,
               double           centre,
               QfTime           start_s,
               QfTime           beat_s,
               int              program);

/// A beat of a prelude that goes with a passage: neither too slow nor too fast to settle an ear
QfTime
qf_prelude_beat(QfTime beat_s);

/**
   Add the beats before the passage, from a downbeat on: whole bars, and what
   the passage's first bar lacks.

   @param n_bars Whole bars.
   @param metre Metre of the first bar.
   @param position Where in the full bar the passage begins.
   @return Seconds until the passage begins, counted from `start_s`.
*/
QfTime
qf_count_in_add(QfEventList* list,
                int          n_bars,
                QfMetre      metre,
                QfTime       position,
                QfTime       start_s,
                QfTime       seconds_per_whole);

#endif // QF_HEARING_LEAD_IN_H
