// SPDX-License-Identifier: MIT
#include "clock.h"

#include <math.h>

enum {
  MAX_DENOMINATOR = 1000000,
  MAX_ROUNDS      = 24,
};

static const double near_enough = 1e-12;

QfTime
qf_exact(const double value)
{
  // Convergents of the continued fraction. Source: any book on number theory.
  int64_t num      = 1;
  int64_t den      = 0;
  int64_t last_num = 0;
  int64_t last_den = 1;
  double  rest     = value;
  for (int i = 0; i < MAX_ROUNDS; ++i) {
    const int64_t whole    = (int64_t)floor(rest);
    const int64_t next_num = whole * num + last_num;
    const int64_t next_den = whole * den + last_den;
    if (i > 0 && next_den > MAX_DENOMINATOR) {
      break;
    }
    last_num = num;
    last_den = den;
    num      = next_num;
    den      = next_den;

    const double error = fabs(value - (double)num / (double)den);
    if (error <= near_enough * fmax(1.0, fabs(value))) {
      break;
    }
    rest = 1.0 / (rest - (double)whole);
  }
  return qf_time(num, den);
}

QfTime
qf_seconds_per_whole(const double quarters_per_minute, const double factor)
{
  const QfTime tempo = qf_time_mul(qf_exact(quarters_per_minute), qf_exact(factor));
  return qf_time_div(qf_time(240, 1), tempo);
}

double
qf_moment(const QfTime start_s, const QfTime offset, const QfTime seconds_per_whole)
{
  return qf_time_to_double(qf_time_add(start_s, qf_time_mul(offset, seconds_per_whole)));
}
