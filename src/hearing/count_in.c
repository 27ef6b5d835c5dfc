// SPDX-License-Identifier: MIT
#include "lead_in.h"

#include "channels.h"

#include <math.h>

/// How a beat of some metrical weight is struck
typedef struct {
  uint8_t key;
  uint8_t velocity;
} Click;

// High wood block 76, low wood block 77. Source: General MIDI Level 1 percussion
// map (from memory). Indexed by qf_metre_level(), the last for all lighter beats.
static const Click clicks[] = {{76, 92}, {77, 80}, {77, 66}};

enum {
  N_CLICKS = sizeof(clicks) / sizeof(clicks[0]),
  N_BARS   = 2, ///< The bar counted, and the part of one before an upbeat
};

static const double click_s = 0.08;

// The sharp strokes would otherwise peak above the chords that follow.
static const double click_gain_db = -5.0;

double
qf_count_in_add(QfEventList* const list,
                const QfMetre      metre,
                const QfTime       position,
                const double       start_s,
                const double       seconds_per_whole)
{
  const QfTime bar    = qf_metre_bar(metre);
  const QfTime length = qf_time_add(bar, position);

  qf_event_list_add_setup(list, QF_CHANNEL_COUNT_IN, 0, click_gain_db);
  for (int i = 0; i < N_BARS * metre.n_groups; ++i) {
    const QfTime beat = qf_metre_beat_start(metre, i % metre.n_groups);
    const QfTime at   = i < metre.n_groups ? beat : qf_time_add(beat, bar);
    if (qf_time_compare(at, length) >= 0) {
      break;
    }

    const int    level    = qf_metre_level(metre, beat);
    const Click  click    = clicks[level < N_CLICKS ? level : N_CLICKS - 1];
    const double click_at = start_s + qf_time_to_double(at) * seconds_per_whole;
    qf_event_list_add_note(list, (QfSoundedNote){.start_s    = click_at,
                                                 .end_s      = click_at + click_s,
                                                 .channel    = QF_CHANNEL_COUNT_IN,
                                                 .key        = click.key,
                                                 .velocity   = click.velocity,
                                                 .score_time = QF_NOT_IN_SCORE});
  }

  return qf_time_to_double(length) * seconds_per_whole;
}
