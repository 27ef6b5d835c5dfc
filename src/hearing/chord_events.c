// SPDX-License-Identifier: MIT
#include "quintfall/events.h"

#include "channels.h"
#include "event_list.h"
#include "passage.h"

#include <stdlib.h>

// Time for the last notes to die away.
static const double release_s = 1.5;

/// A pass that sounds as a hearing of the bar does
static QfPassStep
pass_of(const QfHearing hearing)
{
  QfPassStep pass      = qf_plan_step_default(QF_STEP_PASS).pass;
  pass.forward_gain_db = hearing.forward_gain_db;
  pass.softening_db    = hearing.softening_db;
  pass.lead_ms         = hearing.lead_ms;
  pass.program         = hearing.program;
  pass.forward_program = hearing.forward_program;
  return pass;
}

static bool
are_playable(const QfPitch* const pitches, const size_t n_pitches)
{
  bool is_playable = n_pitches <= QF_MAX_VOICES;
  for (size_t i = 0; is_playable && i < n_pitches; ++i) {
    const int midi = qf_pitch_midi(pitches[i]);
    is_playable    = midi >= 0 && midi <= 127;
  }
  return is_playable;
}

static void
add_note(QfEventList* const list,
         const QfPart       part,
         const QfPitch      pitch,
         const uint8_t      voice,
         const double       start_s,
         const double       end_s)
{
  qf_event_list_add_note(list, (QfSoundedNote){.start_s    = start_s,
                                               .end_s      = end_s,
                                               .channel    = part.channel,
                                               .key        = (uint8_t)qf_pitch_midi(pitch),
                                               .velocity   = part.velocity,
                                               .voice      = voice,
                                               .score_time = QF_NOT_IN_SCORE});
}

QfStatus
qf_events_of_chord(const QfPitch* const pitches,
                   const size_t         n_pitches,
                   const QfHearing      hearing,
                   const double         seconds,
                   QfEvents* const      result)
{
  if (!are_playable(pitches, n_pitches) || !(seconds > 0.0)) {
    return QF_ERR_RANGE;
  }

  const QfHearing  used  = qf_hearing_clamp(hearing);
  const QfPassStep pass  = pass_of(used);
  const uint32_t   voice = QF_VOICE_BIT(used.forward.voice % (QF_VOICE_LOWEST + 1U));
  const uint32_t   forward =
    used.forward.kind == QF_FORWARD_VOICE && used.forward.voice < n_pitches ? voice : 0U;

  QfPart      parts[QF_MAX_VOICES];
  QfEventList list = {0};
  qf_parts_of(&pass, forward, used.program, n_pitches, parts);
  qf_passage_add_setups(&list, parts, n_pitches, 0.0);
  qf_event_list_add_mark(&list, 0.0, QF_NOT_IN_SCORE);
  for (size_t i = 0; i < n_pitches; ++i) {
    add_note(&list, parts[i], pitches[i], (uint8_t)i, 0.0, seconds);
  }
  return qf_event_list_finish(&list, seconds + release_s, used.level_db, result);
}

/// Order of the pitches from the bass up
static void
sort_upwards(const QfPitch* const pitches, const size_t n_pitches, size_t order[QF_MAX_VOICES])
{
  for (size_t i = 0; i < n_pitches; ++i) {
    size_t place = i;
    for (; place > 0 && qf_pitch_compare(pitches[i], pitches[order[place - 1U]]) < 0; --place) {
      order[place] = order[place - 1U];
    }
    order[place] = i;
  }
}

QfStatus
qf_events_of_chord_stepped(const QfPitch* const pitches,
                           const size_t         n_pitches,
                           const QfHearing      hearing,
                           const double         seconds,
                           QfEvents* const      result)
{
  if (!are_playable(pitches, n_pitches) || !(seconds > 0.0)) {
    return QF_ERR_RANGE;
  }

  const QfHearing  used = qf_hearing_clamp(hearing);
  const QfPassStep pass = pass_of(used);
  const double     end  = seconds * (double)(n_pitches + 1U);
  QfPart           parts[QF_MAX_VOICES];
  size_t           order[QF_MAX_VOICES];
  QfEventList      list = {0};
  qf_parts_of(&pass, 0U, used.program, n_pitches, parts);
  qf_passage_add_setups(&list, parts, n_pitches, 0.0);
  sort_upwards(pitches, n_pitches, order);

  qf_event_list_add_mark(&list, 0.0, QF_NOT_IN_SCORE);
  for (size_t i = 0; i < n_pitches; ++i) {
    const size_t  n     = order[i];
    const uint8_t voice = (uint8_t)n;
    const double  own_s = seconds * (double)(i + 1U);

    // Held softly, struck again when its turn comes, and soft again after it.
    add_note(&list, parts[n], pitches[n], voice, 0.0, own_s);
    add_note(&list, parts[n], pitches[n], voice, own_s, end);
    if (i > 0) {
      qf_event_list_add_gain(&list, seconds, parts[n].channel, -used.softening_db);
    }
    qf_event_list_add_gain(&list, own_s, parts[n].channel, used.forward_gain_db);
    qf_event_list_add_gain(&list, own_s + seconds, parts[n].channel, -used.softening_db);
    qf_event_list_add_mark(&list, own_s, QF_NOT_IN_SCORE);
  }
  return qf_event_list_finish(&list, end + release_s, used.level_db, result);
}
