// SPDX-License-Identifier: MIT
#include "lead_in.h"

#include "channels.h"
#include "clock.h"

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
};

static const double click_s = 0.08;

// The sharp strokes would otherwise peak above the chords that follow.
static const double click_gain_db = -5.0;

QfTime
qf_count_in_add(QfEventList* const list,
                const int          n_bars,
                const QfMetre      metre,
                const QfTime       position,
                const QfTime       start_s,
                const QfTime       seconds_per_whole)
{
  const QfTime bar    = qf_metre_bar(metre);
  const QfTime length = qf_time_add(qf_time_mul(bar, qf_time(n_bars, 1)), position);

  qf_event_list_add_setup(list, qf_time_to_double(start_s), QF_CHANNEL_COUNT_IN, 0, click_gain_db);
  for (int i = 0; i < (n_bars + 1) * metre.n_groups;
       ++i) { // One more, for what the first bar lacks
    const QfTime beat  = qf_metre_beat_start(metre, i % metre.n_groups);
    const QfTime start = qf_time_mul(bar, qf_time(i / metre.n_groups, 1));
    const QfTime at    = qf_time_add(start, beat);
    if (qf_time_compare(at, length) >= 0) {
      break;
    }

    const int    level    = qf_metre_level(metre, beat);
    const Click  click    = clicks[level < N_CLICKS ? level : N_CLICKS - 1];
    const double click_at = qf_moment(start_s, at, seconds_per_whole);
    qf_event_list_add_note(list, (QfSoundedNote){.start_s    = click_at,
                                                 .end_s      = click_at + click_s,
                                                 .channel    = QF_CHANNEL_COUNT_IN,
                                                 .key        = click.key,
                                                 .velocity   = click.velocity,
                                                 .voice      = QF_NO_VOICE,
                                                 .score_time = QF_NOT_IN_SCORE});
  }

  return qf_time_mul(length, seconds_per_whole);
}
