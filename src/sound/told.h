// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_TOLD_H
#define QF_SOUND_TOLD_H

#include <stdatomic.h>
#include <stdbool.h>

/// Where a player is, as known at one moment
typedef struct {
  unsigned serial; ///< Last command obeyed
  bool     is_playing;
  double   position_s; ///< Heard at `time_s`
  double   time_s;
  double   speed;
  double   low_s; ///< The position heard is not before this
  double   high_s;
} QfSnapshot;

/// What the performing thread tells the window's: written by one at a time, read without waiting
typedef struct {
  atomic_uint    n_writes; ///< Odd while it is being written
  atomic_uint    serial;
  atomic_bool    is_playing;
  _Atomic double position_s;
  _Atomic double time_s;
  _Atomic double speed;
  _Atomic double low_s;
  _Atomic double high_s;
} QfTold;

void
qf_told_write(QfTold* told, QfSnapshot snapshot);

QfSnapshot
qf_told_read(const QfTold* told);

/// Position at a moment, going on from where it was told
double
qf_snapshot_carried(const QfSnapshot* snapshot, double time_s);

#endif // QF_SOUND_TOLD_H
