// SPDX-License-Identifier: MIT
#include "passage.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

QfHearing
passage_hearing(const double level_db)
{
  QfHearing hearing = qf_hearing_default();
  hearing.level_db  = level_db;
  return hearing;
}

QfEvents
passage_chord(const uint8_t* const keys,
              const size_t         n_keys,
              const QfHearing      hearing,
              const double         seconds)
{
  QfPitch pitches[QF_MAX_VOICES];
  for (size_t i = 0; i < n_keys; ++i) {
    // Natural or sharp; only the sound matters here.
    static const int8_t letters[] = {0, 0, 1, 1, 2, 3, 3, 4, 4, 5, 5, 6};
    static const int8_t alters[]  = {0, 1, 0, 1, 0, 0, 1, 0, 1, 0, 1, 0};
    pitches[i] = (QfPitch){letters[keys[i] % 12], alters[keys[i] % 12], (int8_t)(keys[i] / 12 - 1)};
  }

  QfEvents events = {0};
  assert_int_equal(qf_events_of_chord(pitches, n_keys, hearing, seconds, &events), QF_OK);
  return events;
}

QfEvents
passage_chords(const size_t n_chords, const double seconds_each, const double level_db)
{
  static const uint8_t keys[2][4] = {{72, 67, 64, 48}, {74, 67, 65, 43}};

  const size_t   n_events = n_chords * 9U + 1U;
  QfEvent* const events   = (QfEvent*)calloc(n_events, sizeof(QfEvent));
  assert_non_null(events);

  size_t n = 0;
  for (size_t i = 0; i <= n_chords; ++i) {
    const double at_s = (double)i * seconds_each;
    for (uint8_t voice = 0; i > 0 && voice < 4; ++voice) {
      events[n++] = (QfEvent){
        .at_s = at_s, .kind = QF_EVENT_NOTE_OFF, .channel = voice, .key = keys[(i - 1) % 2][voice]};
    }
    if (i < n_chords) {
      events[n++] = (QfEvent){.at_s = at_s, .kind = QF_EVENT_MARK, .score_time = {(int64_t)i, 1}};
    }
    for (uint8_t voice = 0; i < n_chords && voice < 4; ++voice) {
      events[n++] = (QfEvent){.at_s     = at_s,
                              .kind     = QF_EVENT_NOTE_ON,
                              .channel  = voice,
                              .key      = keys[i % 2][voice],
                              .velocity = 80};
    }
  }

  const double length_s = (double)n_chords * seconds_each + 0.5;
  events[n++]           = (QfEvent){.at_s = length_s, .kind = QF_EVENT_END};
  assert_int_equal(n, n_events);
  return (QfEvents){events, n, length_s, level_db};
}

void
passage_solo(QfEvents* const events, const uint8_t channel)
{
  size_t n_kept = 0;
  for (size_t i = 0; i < events->n_events; ++i) {
    const QfEvent event   = events->events[i];
    const bool    is_note = event.kind == QF_EVENT_NOTE_ON || event.kind == QF_EVENT_NOTE_OFF;
    if (!is_note || event.channel == channel) {
      events->events[n_kept++] = event;
    }
  }
  events->n_events = n_kept;
}

bool
passage_has_soundfont(void)
{
  char* const path = qf_sound_find_soundfont(NULL);
  free(path);
  return path;
}

double
passage_peak(const float* const samples, const size_t first, const size_t last)
{
  double peak = 0.0;
  for (size_t i = 2U * first; i < 2U * last; ++i) {
    peak = fmax(peak, fabs((double)samples[i]));
  }
  return peak;
}

double
passage_rms_db(const float* const samples, const size_t first, const size_t last)
{
  double sum = 0.0;
  for (size_t i = 2U * first; i < 2U * last; ++i) {
    sum += (double)samples[i] * (double)samples[i];
  }
  return 10.0 * log10(sum / (2.0 * (double)(last - first)));
}
