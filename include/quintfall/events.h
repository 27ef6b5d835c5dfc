// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_EVENTS_H
#define QUINTFALL_EVENTS_H

#include "quintfall/hearing.h"
#include "quintfall/score.h"

typedef enum {
  QF_EVENT_NOTE_ON,
  QF_EVENT_NOTE_OFF,
  QF_EVENT_PROGRAM, ///< Instrument of a channel
  QF_EVENT_GAIN,    ///< Level of a channel
  QF_EVENT_MARK,    ///< The score has reached `score_time`
  QF_EVENT_END,     ///< Last event
} QfEventKind;

/// Something to be heard, or shown, at a moment
typedef struct {
  double      at_s; ///< Seconds from the start
  QfEventKind kind;
  uint8_t     channel;  ///< One a voice; 14 prelude; 9 count-in
  uint8_t     key;      ///< MIDI key
  uint8_t     velocity; ///< 1-127
  uint8_t     program;
  double      gain_db;    ///< For #QF_EVENT_GAIN, relative to the overall level
  QfTime      score_time; ///< For notes and marks; -1 in prelude, count-in and gaps
} QfEvent;

/// Events in order of time; equal times: off, program, gain, mark, on
typedef struct {
  QfEvent* events; ///< Owned
  size_t   n_events;
  double   length_s; ///< With the last note's release
  double   level_db; ///< Overall level the events are meant for
} QfEvents;

/**
   Perform a hearing as events.

   Prelude and count-in come once, before the first pass. The count-in begins
   on a downbeat: one bar, and before an upbeat the beats that its bar lacks.
   Held notes are struck once, except where the quality is brought forward.

   @param key Key of the prelude.
   @param from Start in the score.
   @param to End; a time not after `from` means the score's end.
   @return #QF_OK, #QF_ERR_NO_MEM, or #QF_ERR_RANGE if the forward voice does not exist.
*/
QfStatus
qf_events_of(const QfScore* score,
             QfKey          key,
             QfHearing      hearing,
             QfTime         from,
             QfTime         to,
             QfEvents*      result);

/// One block of pitches, for hearing a single chord; a forward voice it lacks is ignored
QfStatus
qf_events_of_chord(const QfPitch* pitches,
                   size_t         n_pitches,
                   QfHearing      hearing,
                   double         seconds,
                   QfEvents*      result);

void
qf_events_clear(QfEvents* events);

#endif // QUINTFALL_EVENTS_H
