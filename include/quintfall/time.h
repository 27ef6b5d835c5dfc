// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_TIME_H
#define QUINTFALL_TIME_H

#include "quintfall/status.h"

#include <stdbool.h>
#include <stdint.h>

/**
   Exact musical time in whole notes, always in lowest terms with a positive denominator.

   A result that needs more than 63 bits is rounded, and in the end saturated:
   never undefined, only no longer exact. Scores refuse times near that.
*/
typedef struct {
  int64_t num;
  int64_t den;
} QfTime;

#define QF_TIME_ZERO ((QfTime){0, 1})

/// Make a time in lowest terms; `den` must not be 0
QfTime
qf_time(int64_t num, int64_t den);

QfTime
qf_time_add(QfTime a, QfTime b);

QfTime
qf_time_sub(QfTime a, QfTime b);

QfTime
qf_time_mul(QfTime a, QfTime b);

/// `b` must not be 0
QfTime
qf_time_div(QfTime a, QfTime b);

/// Negative, zero or positive; exact
int
qf_time_compare(QfTime a, QfTime b);

QfTime
qf_time_min(QfTime a, QfTime b);

QfTime
qf_time_max(QfTime a, QfTime b);

double
qf_time_to_double(QfTime time);

/// Largest multiple of `unit` not above `time`
QfTime
qf_time_floor(QfTime time, QfTime unit);

/// Read "3/8" or "2"; #QF_ERR_BAD_TEXT, or #QF_ERR_RANGE beyond 10^9
QfStatus
qf_time_parse(const char* text, QfTime* result, QfError* error);

/// Write "3/8" or "2"; at least 44 bytes
void
qf_time_write(QfTime time, char* buffer, size_t size);

enum {
  QF_METRE_MAX_GROUPS = 8,
};

/// A time signature
typedef struct {
  uint8_t numerator;                   ///< 1-64
  uint8_t denominator;                 ///< A power of two, 1-64
  uint8_t n_groups;                    ///< Beats of the bar
  uint8_t groups[QF_METRE_MAX_GROUPS]; ///< Denominator units of each beat, their sum the numerator
} QfMetre;

/**
   A metre with its usual beats.

   Numerators 6, 9, 12 ... 24 group by three (and 3 over 8 or less counts one
   dotted beat), 5 and 7 as 3+2 and 2+2+3; all others have a beat per unit, or
   per two and more where there are over #QF_METRE_MAX_GROUPS of them.
   @return #QF_ERR_RANGE for an impossible metre.
*/
QfStatus
qf_metre(int numerator, int denominator, QfMetre* result);

/// Read "3/4", "6/8", "3+2/8"
QfStatus
qf_metre_parse(const char* text, QfMetre* result, QfError* error);

/// Write "3/4", or "2+3/8" where the groups are not the usual ones; at least 40 bytes
void
qf_metre_write(QfMetre metre, char* buffer, size_t size);

/// Length of a full bar
QfTime
qf_metre_bar(QfMetre metre);

/// Start of beat `index` (0 = downbeat) within the bar
QfTime
qf_metre_beat_start(QfMetre metre, int index);

/// Length of the first beat: a dotted quarter in 6/8
QfTime
qf_metre_beat(QfMetre metre);

/**
   Metrical weight of a position within the bar: 0 downbeat, 1 the half-bar of
   an even metre, 2 any other beat, 3 and more below the beat.
*/
int
qf_metre_level(QfMetre metre, QfTime position);

bool
qf_metre_equals(QfMetre a, QfMetre b);

#endif // QUINTFALL_TIME_H
