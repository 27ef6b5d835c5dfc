// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_EVENTS_H
#define QUINTFALL_EVENTS_H

#include "quintfall/label.h"
#include "quintfall/plan.h"
#include "quintfall/score.h"

enum {
  QF_NO_VOICE = 255, ///< Prelude, count-in, and what is no note
};

typedef enum {
  QF_EVENT_NOTE_ON,
  QF_EVENT_NOTE_OFF,
  QF_EVENT_PROGRAM, ///< Instrument of a channel
  QF_EVENT_GAIN,    ///< Level of a channel
  QF_EVENT_MARK,    ///< The score has reached `score_time`
  QF_EVENT_CLIP,    ///< An audio file begins, and plays to its end at its own speed
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
  uint16_t    clip;       ///< For #QF_EVENT_CLIP, index in the clips of the events
  double      gain_db;    ///< For #QF_EVENT_GAIN and _CLIP, relative to the overall level
  QfTime      score_time; ///< For notes and marks; -1 in prelude, count-in and gaps
  uint8_t     voice;      ///< Of a note, index in the score, or #QF_NO_VOICE
  uint8_t     step;       ///< Of the plan
} QfEvent;

/// Events in order of time; equal times: off, program, gain, mark, clip, on
typedef struct {
  QfEvent* events; ///< Owned
  size_t   n_events;
  double   length_s; ///< With the last note's release
  double   level_db; ///< Overall level the events are meant for
  char**   clips;    ///< Paths of audio files; owned, with each of them
  size_t   n_clips;
} QfEvents;

/// Tells how long an audio file is, or why it cannot be played; qf_sound_clip_length() is one
typedef QfStatus (*QfClipLengthFunc)(const char* path, double* length_s, QfError* error);

#define QF_ALL_HEARINGS SIZE_MAX

/// What a plan is performed with
typedef struct {
  QfKey            key;         ///< Of preludes
  double           level_db;    ///< Overall level, -40-0
  int              program;     ///< General MIDI program where a step keeps the lesson's
  const QfLabels*  labels;      ///< Chords to strike and to step through; or NULL for all slices
  const char*      folder;      ///< Where spoken titles are looked for, or NULL
  QfClipLengthFunc clip_length; ///< NULL leaves spoken titles out
  size_t           hearing;     ///< Perform only this one, or #QF_ALL_HEARINGS
} QfPerformOptions;

/// One step as it was performed
typedef struct {
  size_t     step;    ///< Index in the plan
  size_t     hearing; ///< From 0
  QfStepKind kind;
  double     start_s;
  double     end_s;
  double     seconds_per_whole; ///< Tempo; a beat of a prelude is a quarter of four-four
  QfMetre    metre;
  QfTime     from; ///< Of a pass, what is heard; of a sung gap, what is to be sung
  QfTime     to;
  uint8_t    voice; ///< To be sung, index in the score; otherwise #QF_NO_VOICE
} QfPerformedStep;

/// One hearing: a chapter of the whole
typedef struct {
  double start_s;
  double end_s;
  double pass_s;                 ///< When the passage itself begins
  size_t step;                   ///< The plan's step that is the pass
  char   title[QF_SUMMARY_SIZE]; ///< Its title, or what it brings forward
} QfChapter;

/// A chord that can be gone to
typedef struct {
  double at_s;
  QfTime score_time;
  size_t hearing;
  size_t link; ///< Index in the labels or, without them, in the slices
} QfChordMoment;

/// A plan as it is to be heard
typedef struct {
  QfEvents         events;
  QfPerformedStep* steps; ///< Owned, in order of time
  size_t           n_steps;
  QfChapter*       chapters; ///< Owned; one a hearing, or one for a plan without any
  size_t           n_chapters;
  QfChordMoment*   chords; ///< Owned, in order of time
  size_t           n_chords;
  char*            remarks; ///< What was left out, one a line (owned), or NULL
} QfPerformance;

/**
   Perform a plan.

   Times are worked out as fractions and only then written as seconds, so that
   nothing adds up on the way. A pass sounds alike whether it is performed alone
   or within the whole. A title whose audio file is missing is left silent, with
   a remark.

   @return #QF_OK, #QF_ERR_NO_MEM, #QF_ERR_BAD_TEXT for a pattern that cannot be
   read, or #QF_ERR_RANGE for a voice or hearing that does not exist.
*/
QfStatus
qf_perform(const QfScore*   score,
           const QfPlan*    plan,
           QfPerformOptions options,
           QfPerformance*   result,
           QfError*         error);

/// Index of the chapter that holds a moment; the last one after the end
size_t
qf_performance_chapter_at(const QfPerformance* performance, double at_s);

/// Index of the performed step that holds a moment; the last one after the end
size_t
qf_performance_step_at(const QfPerformance* performance, double at_s);

/// Index of the chord that sounds, or sounded last, or SIZE_MAX before the first
size_t
qf_performance_chord_at(const QfPerformance* performance, double at_s);

void
qf_performance_clear(QfPerformance* performance);

/**
   Perform a hearing as events, as the plan that qf_plan_of_hearing() makes of it.

   Prelude and count-in come once, before the first pass. The count-in begins
   on a downbeat: one bar, and before an upbeat the beats that its bar lacks.
   Held notes are struck once, except where the quality is brought forward.

   @param labels Chords to strike where the quality is forward; or NULL for all slices.
   @param key Key of the prelude.
   @param from Start in the score.
   @param to End; a time not after `from` means the score's end.
   @return #QF_OK, #QF_ERR_NO_MEM, or #QF_ERR_RANGE if the forward voice does not exist.
*/
QfStatus
qf_events_of(const QfScore*  score,
             const QfLabels* labels,
             QfKey           key,
             QfHearing       hearing,
             QfTime          from,
             QfTime          to,
             QfEvents*       result);

/// One block of pitches, for hearing a single chord; a forward voice it lacks is ignored
QfStatus
qf_events_of_chord(const QfPitch* pitches,
                   size_t         n_pitches,
                   QfHearing      hearing,
                   double         seconds,
                   QfEvents*      result);

/**
   A chord held softly while its notes come forward one by one, from the bass up.

   @param seconds Of the chord alone, and then of each note.
*/
QfStatus
qf_events_of_chord_stepped(const QfPitch* pitches,
                           size_t         n_pitches,
                           QfHearing      hearing,
                           double         seconds,
                           QfEvents*      result);

void
qf_events_clear(QfEvents* events);

#endif // QUINTFALL_EVENTS_H
