// SPDX-License-Identifier: MIT
#ifndef QF_HEARING_CLOCK_H
#define QF_HEARING_CLOCK_H

#include "quintfall/time.h"

/*
   Seconds as exact fractions: only what an event says is written as a decimal,
   so that a plan of an hour ends where it should.
*/

/// The simplest fraction next to a number as people write them: 0.85 is 17/20
QfTime
qf_exact(double value);

/// Seconds of a whole note, from quarter notes a minute and a factor
QfTime
qf_seconds_per_whole(double quarters_per_minute, double factor);

/// A moment that lies `offset` whole notes after `start_s`
double
qf_moment(QfTime start_s, QfTime offset, QfTime seconds_per_whole);

#endif // QF_HEARING_CLOCK_H
