// SPDX-License-Identifier: MIT
#include "qf-plan-place.h"

#include <stdio.h>
#include <stdlib.h>

/// Read a whole number of at least `least`; moves past it
static bool
read_number(const char** const at, const long least, long* const number)
{
  char* end          = NULL;
  *number            = strtol(*at, &end, 10);
  const bool is_read = end != *at && *number >= least;
  *at                = end;
  return is_read;
}

bool
qf_plan_place_parse(const QfScore* const score, const char* const text, QfTime* const time)
{
  const char* at     = text;
  long        number = 0;
  long        beat   = 1;
  if (!read_number(&at, 0, &number)) {
    return false;
  }

  const bool has_beat = *at == ':';
  at += has_beat;
  if ((has_beat && !read_number(&at, 1, &beat)) || *at) {
    return false;
  }

  for (size_t i = 0; i < qf_score_n_bars(score); ++i) {
    const QfBar* const bar = qf_score_get_bar(score, i);
    if (bar->number != number || bar->suffix) {
      continue;
    }
    // A bar that begins late, such as an upbeat, has no earlier beats than it has.
    const QfTime within = has_beat && beat <= bar->metre.n_groups
                            ? qf_metre_beat_start(bar->metre, (int)beat - 1)
                            : bar->offset;
    const QfTime from   = qf_time_sub(within, bar->offset);
    *time               = qf_time_add(bar->start, from);
    return (!has_beat || beat <= bar->metre.n_groups) && from.num >= 0 &&
           qf_time_compare(from, bar->length) < 0;
  }
  return false;
}

void
qf_plan_place_write(const QfScore* const score,
                    const QfTime         time,
                    char* const          buffer,
                    const size_t         size)
{
  if (!qf_score_n_bars(score)) {
    snprintf(buffer, size, "0");
    return;
  }

  const QfPlace      place = qf_score_place_of(score, time);
  const QfBar* const bar   = qf_score_get_bar(score, place.bar);
  if (!qf_time_compare(bar->start, time)) {
    snprintf(buffer, size, "%d", bar->number);
  } else {
    snprintf(buffer, size, "%d:%lld", bar->number, (long long)(place.beat.num / place.beat.den));
  }
}
