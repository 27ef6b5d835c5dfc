// SPDX-License-Identifier: MIT
#include "told.h"

#include <math.h>

void
qf_told_write(QfTold* const told, const QfSnapshot snapshot)
{
  atomic_fetch_add(&told->n_writes, 1U);
  atomic_store(&told->serial, snapshot.serial);
  atomic_store(&told->is_playing, snapshot.is_playing);
  atomic_store(&told->position_s, snapshot.position_s);
  atomic_store(&told->time_s, snapshot.time_s);
  atomic_store(&told->speed, snapshot.speed);
  atomic_store(&told->low_s, snapshot.low_s);
  atomic_store(&told->high_s, snapshot.high_s);
  atomic_fetch_add(&told->n_writes, 1U);
}

QfSnapshot
qf_told_read(const QfTold* const told)
{
  QfSnapshot snapshot = {0};
  unsigned   before   = 0;
  do {
    before   = atomic_load(&told->n_writes);
    snapshot = (QfSnapshot){.serial     = atomic_load(&told->serial),
                            .is_playing = atomic_load(&told->is_playing),
                            .position_s = atomic_load(&told->position_s),
                            .time_s     = atomic_load(&told->time_s),
                            .speed      = atomic_load(&told->speed),
                            .low_s      = atomic_load(&told->low_s),
                            .high_s     = atomic_load(&told->high_s)};
  } while (before % 2U || before != atomic_load(&told->n_writes));
  return snapshot;
}

double
qf_snapshot_carried(const QfSnapshot* const snapshot, const double time_s)
{
  const double position_s = snapshot->position_s + (time_s - snapshot->time_s) * snapshot->speed;
  return fmin(fmax(position_s, snapshot->low_s), snapshot->high_s);
}
