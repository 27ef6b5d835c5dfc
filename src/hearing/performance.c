// SPDX-License-Identifier: MIT
#include "quintfall/events.h"

#include <stdlib.h>

// Seconds by which two moments may differ through rounding alone.
static const double rounding_s = 1e-6;

size_t
qf_performance_chapter_at(const QfPerformance* const performance, const double at_s)
{
  size_t index = 0;
  while (index + 1U < performance->n_chapters &&
         performance->chapters[index + 1U].start_s <= at_s + rounding_s) {
    ++index;
  }
  return index;
}

size_t
qf_performance_step_at(const QfPerformance* const performance, const double at_s)
{
  // Of steps that take no time, such as unspoken titles, the last one counts.
  size_t index = 0;
  while (index + 1U < performance->n_steps &&
         performance->steps[index + 1U].start_s <= at_s + rounding_s) {
    ++index;
  }
  return index;
}

size_t
qf_performance_chord_at(const QfPerformance* const performance, const double at_s)
{
  size_t n_begun = 0;
  while (n_begun < performance->n_chords &&
         performance->chords[n_begun].at_s <= at_s + rounding_s) {
    ++n_begun;
  }
  return n_begun ? n_begun - 1U : SIZE_MAX;
}

void
qf_performance_clear(QfPerformance* const performance)
{
  if (performance) {
    qf_events_clear(&performance->events);
    free(performance->steps);
    free(performance->chapters);
    free(performance->chords);
    free(performance->remarks);
    *performance = (QfPerformance){0};
  }
}

void
qf_events_clear(QfEvents* const events)
{
  if (events) {
    for (size_t i = 0; i < events->n_clips; ++i) {
      free(events->clips[i]);
    }
    free(events->clips);
    free(events->events);
    *events = (QfEvents){0};
  }
}
