// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_PERFORMER_H
#define QF_SOUND_PERFORMER_H

#include "engine.h"
#include "limiter.h"
#include "ramp.h"

/// Told that events are no longer used
typedef void (*QfRetireFunc)(const QfEvents* events, void* data);

/**
   Plays events through an engine, a block at a time: the same for a file and
   for the loudspeaker.

   Starting, pausing and jumping fade the sound, changes of level glide, and all
   of it passes the limiter. Nothing here allocates, locks or waits. A performer
   without an engine, or one asked for no samples, still keeps time.
*/
typedef struct {
  QfEngine*       engine; ///< Lent, may be NULL
  int             sample_rate;
  const QfEvents* events; ///< Lent, may be NULL
  size_t          next;   ///< Next event to apply
  double          position_s;
  double          origin_s; ///< Where the sound now heard began: a start, jump or loop
  double          speed;
  double          wanted_level_db;
  bool            loops;
  bool            wants_play; ///< What was asked for
  bool            is_running; ///< Events are being applied
  bool            is_stale;   ///< Time went on without the engine
  bool            has_jump;
  double          jump_to_s;
  bool            has_incoming;
  const QfEvents* incoming; ///< Lent, waiting for the fade
  QfRamp          fade;
  QfRamp          level;
  QfLimiter       limiter;
  QfRetireFunc    retire; ///< May be NULL
  void*           retire_data;
} QfPerformer;

/// Prepare, silent and paused, with nothing loaded
void
qf_performer_init(QfPerformer* performer, QfEngine* engine, int sample_rate, double level_db);

/// Take up other events, at their start; `events` are lent until they are retired
void
qf_performer_load(QfPerformer* performer, const QfEvents* events);

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

void
qf_performer_set_speed(QfPerformer* performer, double factor);

/// Position it is at, or will be at once a fade is over
double
qf_performer_get_position(const QfPerformer* performer);

/// Go on by one block; `frames` takes #QF_ENGINE_BLOCK stereo frames, or is NULL
void
qf_performer_step(QfPerformer* performer, float* frames);

#endif // QF_SOUND_PERFORMER_H
