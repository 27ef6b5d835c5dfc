// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_PERFORMER_H
#define QF_SOUND_PERFORMER_H

#include "clip.h"
#include "engine.h"
#include "limiter.h"
#include "ramp.h"

/// Told that events are no longer used
typedef void (*QfRetireFunc)(const QfEvents* events, void* data);

enum {
  QF_PERFORMER_MAX_CLIPS = 4, ///< Clips that sound at once; one more ends the oldest
};

/// A clip that sounds
typedef struct {
  const QfClip* clip; ///< Lent, or NULL
  ptrdiff_t     at;   ///< Next frame of it; negative until it begins
  float         gain;
} QfPlayingClip;

/**
   Plays events through an engine, some blocks at a time: the same for a file and
   for the loudspeaker. Notes and clips begin at their own frame.

   Starting, pausing and jumping fade the sound, changes of level glide, and all
   of it passes the limiter. Nothing here allocates, locks or waits. A performer
   without an engine, or one asked for no samples, still keeps time.
*/
typedef struct {
  QfEngine*       engine; ///< Lent, may be NULL
  int             sample_rate;
  const QfEvents* events; ///< Lent, may be NULL
  const QfClips*  clips;  ///< Lent with the events, may be NULL
  size_t          next;   ///< Next event to apply
  double          position_s;
  double          anchor_s; ///< Where the frames now counted began
  int64_t         n_frames; ///< Since then
  double          origin_s; ///< Where the sound now heard began: a start, jump or loop
  double          speed;
  double          wanted_level_db;
  bool            loops;
  double          loop_from_s;
  double          loop_to_s;  ///< Not after `loop_from_s` for the whole
  bool            wants_play; ///< What was asked for
  bool            is_running; ///< Events are being applied
  bool            is_stale;   ///< Time went on without the engine
  bool            has_jump;
  double          jump_to_s;
  bool            has_incoming;
  const QfEvents* incoming; ///< Lent, waiting for the fade
  const QfClips*  incoming_clips;
  QfPlayingClip   playing[QF_PERFORMER_MAX_CLIPS];
  QfRamp          fade;
  QfRamp          level;
  QfLimiter       limiter;
  QfRetireFunc    retire; ///< May be NULL
  void*           retire_data;
} QfPerformer;

/// Prepare, silent and paused, with nothing loaded
void
qf_performer_init(QfPerformer* performer, QfEngine* engine, int sample_rate, double level_db);

/// Take up other events, at their start; all is lent until the events are retired
void
qf_performer_load(QfPerformer* performer, const QfEvents* events, const QfClips* clips);

/// Go on, or from the start again when the end was reached
void
qf_performer_play(QfPerformer* performer);

void
qf_performer_pause(QfPerformer* performer);

void
qf_performer_seek(QfPerformer* performer, double at_s);

/// Level from now on, reached gently; replaces the one the events are meant for
void
qf_performer_set_level(QfPerformer* performer, double level_db);

/// Clips keep their own speed
void
qf_performer_set_speed(QfPerformer* performer, double factor);

/// Loop a part; the whole if that is no span
void
qf_performer_set_loop_range(QfPerformer* performer, double from_s, double to_s);

/// Position it is at, or will be at once a fade is over
double
qf_performer_get_position(const QfPerformer* performer);

/// Where it ends, or begins again where it loops
double
qf_performer_get_end(const QfPerformer* performer);

/**
   Go on by whole blocks.

   @param frames Takes stereo frames, or is NULL where nothing is heard.
   @param max_frames Whole blocks, at least one.
   @return Frames done: as many blocks as fit before the next event, at least one.
*/
size_t
qf_performer_step(QfPerformer* performer, float* frames, size_t max_frames);

#endif // QF_SOUND_PERFORMER_H
