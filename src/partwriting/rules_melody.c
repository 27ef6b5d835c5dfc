// SPDX-License-Identifier: MIT
#include "rules.h"

#include <stdlib.h>

enum { SECOND = 1, FOURTH = 3, SEVENTH = 6, OCTAVE = 7 };

// Semitones of the smallest and largest interval on a number of steps that is neither
// diminished nor augmented.
static const int smallest[7] = {0, 1, 3, 5, 7, 8, 10};
static const int largest[7]  = {0, 2, 4, 5, 7, 9, 11};

static int
sounding(const int steps, const int semitones)
{
  return steps < 0 || (!steps && semitones < 0) ? -semitones : semitones;
}

static bool
is_augmented(const int steps, const int semitones)
{
  const int size = abs(steps);
  return size && sounding(steps, semitones) > largest[size % 7] + 12 * (size / 7);
}

static bool
is_diminished(const int steps, const int semitones)
{
  const int size = abs(steps);
  return size > SECOND && sounding(steps, semitones) < smallest[size % 7] + 12 * (size / 7);
}

static Grade
augmented_rule(const VoiceMotion* const motion)
{
  if (!is_augmented(motion->steps, motion->semitones)) {
    return GRADE_NONE;
  }
  return abs(motion->steps) == SECOND   ? GRADE_AUGMENTED_SECOND
         : abs(motion->steps) == FOURTH ? GRADE_AUGMENTED_FOURTH
                                        : GRADE_AUGMENTED_LEAP;
}

static Grade
large_leap_rule(const VoiceMotion* const motion)
{
  const int  steps     = abs(motion->steps);
  const bool is_octave = steps == OCTAVE && abs(motion->semitones) == 12;
  return steps >= SEVENTH && !is_octave ? GRADE_LARGE_LEAP : GRADE_NONE;
}

static bool
goes_on(const VoiceMotion* const motion)
{
  return motion->steps && (motion->steps > 0) == (motion->before_steps > 0);
}

static Grade
diminished_rule(const VoiceMotion* const motion)
{
  if (!motion->has_before || !is_diminished(motion->before_steps, motion->before_semitones) ||
      !motion->semitones) {
    return GRADE_NONE;
  }
  return goes_on(motion) || abs(motion->steps) != SECOND ? GRADE_DIMINISHED_LEAP : GRADE_NONE;
}

/// A bass moves by fourths and fifths as a matter of course
static bool
is_bass(const VoiceMotion* const motion)
{
  return motion->voice + 1U == motion->n_voices;
}

/// Rule: leaps larger than a fourth turn back (MT21C, Rules of Melody)
static Grade
recovery_rule(const VoiceMotion* const motion)
{
  return !is_bass(motion) && motion->has_before && abs(motion->before_steps) > FOURTH &&
             goes_on(motion)
           ? GRADE_LEAP_RECOVERY
           : GRADE_NONE;
}

static Grade
compound_rule(const VoiceMotion* const motion)
{
  const int both = abs(motion->before_steps + motion->steps);
  return !is_bass(motion) && motion->has_before && abs(motion->before_steps) > SECOND &&
             abs(motion->steps) > SECOND && goes_on(motion) && both >= SEVENTH && both != OCTAVE
           ? GRADE_COMPOUND_LEAP
           : GRADE_NONE;
}

typedef Grade (*MelodyRule)(const VoiceMotion* motion);

static const MelodyRule melody_rules[] = {augmented_rule, large_leap_rule, diminished_rule,
                                          recovery_rule, compound_rule};

void
judge_melody(const VoiceMotion* const motion, Sink* const sink)
{
  for (size_t i = 0; i < sizeof(melody_rules) / sizeof(melody_rules[0]); ++i) {
    const Grade grade = melody_rules[i](motion);
    if (grade) {
      sink->take(sink, (Remark){grade, 1U << motion->voice});
    }
  }
}
