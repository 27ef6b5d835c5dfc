// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_PLAYER_PRIVATE_H
#define QF_SOUND_PLAYER_PRIVATE_H

#include "command_queue.h"
#include "meter.h"
#include "performer.h"
#include "player.h"
#include "told.h"

#include <pthread.h>
#include <semaphore.h>
#include <stdatomic.h>

// Four threads: the window's sends commands and reads what is told (player.c);
// the starter gets SoundFont and device ready, and ends (player_start.c); the
// device's performs; the clock performs in its stead while there is no device,
// or when one has stopped asking (player_perform.c). Who performs holds
// `is_busy`, which only the starter waits for, once. While the starter is at
// work time stands still, so that what is played meanwhile is heard from its
// start.

// A device that asked for nothing this long is taken for dead.
#define QF_PLAYER_STALL_S 0.7

/// Events on their way through the player
typedef struct QfLoadedImpl {
  QfEvents             events;
  QfClips              clips;
  struct QfLoadedImpl* next;
} QfLoaded;

/// A place in time where the score's time is known
typedef struct {
  double at_s;
  QfTime score_time;
} QfMark;

struct QfPlayerImpl {
  // The window's thread
  QfMark*   marks; ///< Owned
  size_t    n_marks;
  unsigned  n_sent;
  bool      expects_playing;
  double    expected_s; ///< Position right after the last command
  QfLoaded* loaded;     ///< Owned: all events not yet retired
  double    length_s;
  bool      is_mute; ///< Nothing is ever to be heard
  QfError   notice;  ///< Of clips
  bool      has_notice;
  char*     wanted_driver; ///< Owned; of a change that waits for the starter
  bool      has_wanted_driver;

  // Shared
  QfCommandQueue queue;
  QfCommandQueue retired; ///< Back to the window's thread: events to be freed
  QfTold         told;
  _Atomic double trusted_s; ///< Until when the device is taken for alive
  atomic_bool    is_starting;
  atomic_bool    quits;
  atomic_flag    is_busy;
  sem_t          wake;

  // The starter's; the window's thread looks at them once it is done
  QfEngineFunc make_engine;
  QfDeviceKind kind;
  char*        soundfont; ///< Owned, or NULL for the system's
  char*        driver;    ///< Owned, or NULL for the first that works
  QfEngine*    engine;    ///< Owned
  QfKeeper*    keeper;    ///< Owned, may be NULL
  QfError      missing;   ///< Why nothing is heard, if so
  bool         has_starter;
  pthread_t    starter;

  // Whoever is busy
  QfPerformer performer;
  QfTuning    tuning;
  double      latency_s;
  float       block[2U * QF_ENGINE_BLOCK];
  size_t      n_in_block; ///< Frames of the block not yet given away
  unsigned    serial;     ///< Last command obeyed
  QfSnapshot  last_told;
  double      told_origin_s;

  QfMeter   meter;
  pthread_t clock;
};

/// Seconds of the steady clock
double
qf_player_now_s(void);

/// Free events and clips
void
qf_loaded_free(QfLoaded* loaded);

bool
qf_player_is_device_alive(const QfPlayer* player);

/// The clock's thread, until the player quits
void*
qf_player_run_clock(void* player);

#endif // QF_SOUND_PLAYER_PRIVATE_H
