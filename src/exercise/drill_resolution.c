// SPDX-License-Identifier: MIT
#include "drill_maker.h"

#include <stdio.h>

/// A tone that wants to go on
typedef struct {
  const char* numeral;
  const char* goal;
  int         member;    ///< Of the chord
  int         direction; ///< Of the step: 1 up, -1 down
  const char* tone;      ///< As a concept
  const char* name;
  int         level;
} Tendency;

// Rule: MT21C "Voice Leading Seventh Chords", "Augmented Sixth Chords"; OMT "Applied chords":
// leading tones rise, sevenths fall, the notes of an augmented sixth go out to the fifth degree.
static const Tendency major_tendencies[] = {
  {"V", "I", 1, 1, "leading-tone", "leading tone", 1},
  {"V7", "I", 1, 1, "leading-tone", "leading tone", 1},
  {"V7", "I", 3, -1, "seventh", "seventh", 2},
  {"viio6", "I", 0, 1, "leading-tone", "leading tone", 2},
  {"V65/V", "V", 1, 1, "leading-tone", "leading tone", 3},
  {"V7/ii", "ii", 1, 1, "leading-tone", "leading tone", 3},
  {"V7/vi", "vi", 1, 1, "leading-tone", "leading tone", 3},
  {"V7/IV", "IV", 3, -1, "seventh", "seventh", 4},
  {"V7/V", "V", 3, -1, "seventh", "seventh", 4},
  {"V42", "I6", 3, -1, "seventh", "seventh", 4},
  {"ii7", "V", 3, -1, "seventh", "seventh", 4},
  {"viio7/V", "V", 0, 1, "leading-tone", "leading tone", 5},
  {"It6", "V", 0, 1, "augmented-sixth", "raised fourth degree", 5},
};

static const Tendency minor_tendencies[] = {
  {"V", "i", 1, 1, "leading-tone", "leading tone", 1},
  {"V7", "i", 1, 1, "leading-tone", "leading tone", 1},
  {"V7", "i", 3, -1, "seventh", "seventh", 2},
  {"viio6", "i", 0, 1, "leading-tone", "leading tone", 2},
  {"V65/V", "V", 1, 1, "leading-tone", "leading tone", 3},
  {"V7/iv", "iv", 1, 1, "leading-tone", "leading tone", 3},
  {"V7/III", "III", 1, 1, "leading-tone", "leading tone", 3},
  {"V7/iv", "iv", 3, -1, "seventh", "seventh", 4},
  {"V7/V", "V", 3, -1, "seventh", "seventh", 4},
  {"V42", "i6", 3, -1, "seventh", "seventh", 4},
  {"viio7", "i", 3, -1, "seventh", "seventh", 4},
  {"viio7/V", "V", 0, 1, "leading-tone", "leading tone", 5},
  {"It6", "V", 0, 1, "augmented-sixth", "raised fourth degree", 5},
};

enum {
  LETTERS = 7,
};

static const Tendency*
draw_tendency(DrillMaker* const maker)
{
  const bool            is_major = maker->drill->key.mode == QF_MAJOR;
  const Tendency* const lines    = is_major ? major_tendencies : minor_tendencies;
  const size_t          n_major  = sizeof(major_tendencies) / sizeof(major_tendencies[0]);
  const size_t          n_minor  = sizeof(minor_tendencies) / sizeof(minor_tendencies[0]);
  const size_t          n_lines  = is_major ? n_major : n_minor;
  size_t                n        = 0;
  while (n < n_lines && lines[n].level <= maker->drill->level) {
    ++n;
  }
  return &lines[random_below(&maker->random, n)];
}

/// The note of the goal that lies a step from a pitch, in that direction
static bool
step_to_goal(const QfPitch start, const QfChord goal, const int direction, QfPitch* const result)
{
  const int step   = qf_pitch_step(start) + direction;
  const int letter = step % LETTERS;
  for (int m = 0; m < qf_chord_kind_size(goal.kind); ++m) {
    QfNoteName note;
    if (!qf_chord_member(goal, m, &note) && note.letter == letter) {
      *result = qf_pitch_from_step(step, note.alter);
      return true;
    }
  }
  return false;
}

/// The highest voice that sings a note at the chord asked for
static bool
find_voice(const QfDrill* const drill, const QfNoteName note, QfPitch* const result)
{
  for (size_t v = 0; v < QF_SATB; ++v) {
    const QfNote* const sung = qf_score_note_at(drill->score, v, drill->asked_from);
    if (sung && qf_note_name_equals(qf_pitch_name(sung->pitch), note)) {
      *result = sung->pitch;
      return true;
    }
  }
  return false;
}

static void
explain(DrillMaker* const maker, const Tendency* const tendency)
{
  QfDrill* const   drill    = maker->drill;
  const QfInterval interval = qf_interval_between(drill->start, drill->pitch);
  char             from[DRILL_NAME_SIZE];
  char             to[DRILL_NAME_SIZE];
  char             key[DRILL_NAME_SIZE];
  drill_name(maker, qf_pitch_name(drill->start), from);
  drill_name(maker, qf_pitch_name(drill->pitch), to);
  drill_name_key(maker, key);
  snprintf(drill->question, sizeof(drill->question),
           "You hear the tonic of %s, then a chord. Sing where its %s goes.", key, from);
  snprintf(drill->explanation, sizeof(drill->explanation),
           "%s is the %s of %s. It %s by a %s to %s, a note of %s.", from, tendency->name,
           tendency->numeral, tendency->direction > 0 ? "rises" : "falls",
           interval.semitones == 1 || interval.semitones == -1 ? "semitone" : "whole tone", to,
           tendency->goal);
}

QfStatus
make_resolution_drill(DrillMaker* const maker)
{
  QfDrill* const drill = maker->drill;
  drill->key           = draw_drill_key(maker);
  drill->has_prelude   = true;
  drill->form          = QF_DRILL_ANSWER_PITCH;

  const Tendency* const tendency = draw_tendency(maker);
  const char* const     chain[]  = {drill->key.mode == QF_MAJOR ? "I" : "i", tendency->numeral};
  QfNumeral             numeral;
  QfChord               chord;
  QfChord               goal;
  QfNoteName            tone;
  if (!drill_chord_of(maker, tendency->numeral, &numeral, &chord) ||
      qf_chord_member(chord, tendency->member, &tone) ||
      !drill_chord_of(maker, tendency->goal, &numeral, &goal)) {
    return QF_ERR_IMPOSSIBLE;
  }
  const QfStatus st = drill_set_chain(maker, chain, 2, 1);
  if (st) {
    return st;
  }
  if (!find_voice(drill, tone, &drill->start) ||
      !step_to_goal(drill->start, goal, tendency->direction, &drill->pitch)) {
    return QF_ERR_IMPOSSIBLE;
  }
  drill_add_concept(maker, "resolution", tendency->tone);
  explain(maker, tendency);
  return QF_OK;
}
