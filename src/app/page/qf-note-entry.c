// SPDX-License-Identifier: MIT
#include "qf-note-entry.h"

#include <string.h>

enum {
  LONGEST_VALUE  = 0, ///< A whole note
  SHORTEST_VALUE = 5, ///< A thirty-second
  MOST_ALTER     = 2, ///< A double sharp
};

int
qf_entry_letter(const char* const name)
{
  static const char letters[] = "CDEFGAB";
  const char* const found     = name[0] ? strchr(letters, name[0]) : NULL;
  return found ? (int)(found - letters) : -1;
}

QfPitch
qf_entry_pitch_at_step(const QfScore* const score, const QfTime time, const int step)
{
  const int letter = ((step % 7) + 7) % 7;
  return qf_pitch_from_step(step, qf_key_alter_of(qf_score_signature_at(score, time), letter));
}

int
qf_entry_steps(const char* const action)
{
  static const struct {
    const char* action;
    int         steps;
  } moves[] = {{"step-up", 1}, {"step-down", -1}, {"octave-up", 7}, {"octave-down", -7}};

  for (size_t i = 0; i < sizeof(moves) / sizeof(moves[0]); ++i) {
    if (!strcmp(moves[i].action, action)) {
      return moves[i].steps;
    }
  }
  return 0;
}

QfStatus
qf_entry_alter(const char* const action,
               const QfPitch     pitch,
               QfPitch* const    result,
               QfError* const    error)
{
  const int alter = pitch.alter + (strcmp(action, "sharpen") ? -1 : 1);
  if (alter < -MOST_ALTER || alter > MOST_ALTER) {
    return qf_error_set(error, QF_ERR_RANGE,
                        "a written note carries at most a double sharp or a double flat");
  }

  *result       = pitch;
  result->alter = (int8_t)alter;
  return QF_OK;
}

int8_t
qf_entry_value(const int wanted)
{
  return (int8_t)(wanted < LONGEST_VALUE    ? LONGEST_VALUE
                  : wanted > SHORTEST_VALUE ? SHORTEST_VALUE
                                            : wanted);
}

static QfTime
start_of(const QfScore* const score, const QfTime time)
{
  (void)score;
  (void)time;
  return QF_TIME_ZERO;
}

static QfTime
end_of(const QfScore* const score, const QfTime time)
{
  (void)time;
  return qf_score_get_end(score);
}

QfTime
qf_entry_move(const QfScore* const score, const char* const action, const QfTime time)
{
  static const struct {
    const char* action;
    QfTime (*next)(const QfScore* score, QfTime time);
  } moves[] = {
    {"caret-left", qf_caret_previous_stop},
    {"caret-right", qf_caret_next_stop},
    {"caret-bar-left", qf_caret_previous_bar},
    {"caret-bar-right", qf_caret_next_bar},
    {"caret-start", start_of},
    {"caret-end", end_of},
  };

  for (size_t i = 0; i < sizeof(moves) / sizeof(moves[0]); ++i) {
    if (!strcmp(moves[i].action, action)) {
      return moves[i].next(score, time);
    }
  }
  return time;
}

size_t
qf_entry_voice_beside(const char* const action, const size_t voice)
{
  const size_t above = voice > 0 ? voice - 1 : 0;
  return strcmp(action, "voice-up") ? voice + 1 : above;
}

QfCaret
qf_entry_point(const QfScore* const score,
               const QfCaret        caret,
               const size_t         staff,
               const int            step,
               const QfTime         time)
{
  QfCaret there = caret;
  there.time    = time;
  there.voice   = qf_caret_voice_on_staff(score, there, staff, step);
  return there;
}
