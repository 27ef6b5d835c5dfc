// SPDX-License-Identifier: MIT
#ifndef QF_SOUND_METER_H
#define QF_SOUND_METER_H

#include <stdatomic.h>
#include <stddef.h>

/// How loud it is: one thread measures, another looks, neither waits
typedef struct {
  _Atomic float peak;        ///< Highest sample since last taken
  _Atomic float mean_square; ///< Of about the last tenth of a second
} QfMeter;

/// Take note of what is heard
void
qf_meter_add(QfMeter* meter, const float* left, const float* right, size_t n_frames, int rate);

/// Nothing is heard
void
qf_meter_clear(QfMeter* meter);

/// Highest sample since last taken, in decibels of full scale, at least -120
double
qf_meter_take_peak_db(QfMeter* meter);

/// Root mean square in decibels of full scale, at least -120
double
qf_meter_get_level_db(const QfMeter* meter);

#endif // QF_SOUND_METER_H
