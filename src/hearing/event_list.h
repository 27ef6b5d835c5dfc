// SPDX-License-Identifier: MIT
#ifndef QF_HEARING_EVENT_LIST_H
#define QF_HEARING_EVENT_LIST_H

#include "quintfall/events.h"

#define QF_NOT_IN_SCORE ((QfTime){-1, 1})

/// Events while they are gathered, in any order; once memory runs out nothing more is added
typedef struct {
  QfEvent* events; ///< Owned
  size_t   n_events;
  size_t   capacity;
  bool     failed;
  uint8_t  step; ///< Of the plan, for all that is added
} QfEventList;

/// A note to be added as its two events
typedef struct {
  double  start_s;
  double  end_s;
  uint8_t channel;
  uint8_t key;
  uint8_t velocity;
  uint8_t voice;
  QfTime  score_time;
} QfSoundedNote;

void
qf_event_list_add(QfEventList* list, QfEvent event);

void
qf_event_list_add_note(QfEventList* list, QfSoundedNote note);

/// Set instrument and level of a channel
void
qf_event_list_add_setup(QfEventList* list,
                        double       at_s,
                        uint8_t      channel,
                        int          program,
                        double       gain_db);

/// Set the level of a channel
void
qf_event_list_add_gain(QfEventList* list, double at_s, uint8_t channel, double gain_db);

/// Begin an audio file
void
qf_event_list_add_clip(QfEventList* list, double at_s, size_t clip);

/// Say where in the score a moment is
void
qf_event_list_add_mark(QfEventList* list, double at_s, QfTime score_time);

/// End, sort and hand over the events; the list is empty afterwards
QfStatus
qf_event_list_finish(QfEventList* list, double length_s, double level_db, QfEvents* result);

#endif // QF_HEARING_EVENT_LIST_H
