// SPDX-License-Identifier: MIT
#include "rules.h"

/// A voice that leaves a tone of one chord for the next
typedef struct {
  const Join* join;
  size_t      voice;
  int         tone;
  int         steps;
  int         semitones;
} Leaving;

static bool
is_held(const Leaving* const leaving)
{
  return !leaving->steps && !leaving->semitones;
}

static bool
steps_down(const Leaving* const leaving)
{
  return leaving->steps == -1 && leaving->semitones <= -1 && leaving->semitones >= -2;
}

static bool
is_outer(const Leaving* const leaving)
{
  return leaving->voice == 0 || leaving->voice + 1U == leaving->join->to->n_voices;
}

static Grade
leading_tone_rule(const Leaving* const leaving)
{
  const Passage* const passage = leaving->join->passage;
  if (leaving->tone != passage->from->leading || passage->is_same_root ||
      !(passage->is_to_tonic || passage->is_deceptive)) {
    return GRADE_NONE;
  }
  // Rule: in a chain the leading tone may fall a semitone to the next seventh (MT21C; OMT2).
  const bool rises = leaving->steps == 1 && leaving->semitones == 1;
  const bool falls = leaving->steps == 0 && leaving->semitones == -1 &&
                     leaving->join->goal->tone[leaving->voice] == passage->to->seventh &&
                     passage->to->seventh >= 0;
  if (rises || falls || is_held(leaving)) {
    return GRADE_NONE;
  }
  const int8_t* const arrivals = leaving->join->arrivals;
  if (arrivals && arrivals[leaving->voice] == -1 && leaving->steps == -1 &&
      leaving->semitones >= -2) {
    return GRADE_LEADING_TONE_DESCENDS;
  }
  return is_outer(leaving)      ? GRADE_LEADING_TONE_OUTER
         : leaving->steps == -2 ? GRADE_LEADING_TONE_FALLS_THIRD
                                : GRADE_LEADING_TONE_INNER;
}

/// I-V43-I6: seventh and bass rise together in tenths (MT21C; OMT)
static bool
is_tenths(const Leaving* const leaving)
{
  const Passage* const passage = leaving->join->passage;
  const size_t         bass    = leaving->join->to->n_voices - 1U;
  const int            moved   = leaving->join->to->step[bass] - leaving->join->from->step[bass];
  return passage->is_to_tonic && passage->from->inversion == 2 && passage->to->inversion == 1 &&
         leaving->steps == 1 && moved == 1 &&
         (leaving->join->from->step[leaving->voice] - leaving->join->from->step[bass]) % 7 == 2;
}

/// Is the note a seventh should fall to a leading tone, and in the bass already?
static bool
is_taken_by_bass(const Leaving* const leaving)
{
  const Sonority* const to   = leaving->join->passage->to;
  const Sonority* const from = leaving->join->passage->from;
  if (to->leading < 0 || to->leading != to->bass ||
      leaving->voice + 1U == leaving->join->to->n_voices) {
    return false;
  }
  const QfInterval fall =
    qf_interval_between_names(to->tones[to->bass].name, from->tones[leaving->tone].name);
  return fall.steps == 1;
}

static Grade
seventh_rule(const Leaving* const leaving)
{
  const Passage* const passage = leaving->join->passage;
  const int            seventh = passage->from->seventh;
  if (seventh < 0 || leaving->tone != seventh || is_held(leaving) || steps_down(leaving)) {
    return GRADE_NONE;
  }
  if (passage->is_same_root) { // Another voice may take it over
    const Tone* const tone = &passage->from->tones[seventh];
    for (int i = 0; i < passage->to->n_tones; ++i) {
      if (qf_note_name_equals(passage->to->tones[i].name, tone->name) &&
          sounds_voices_on(leaving->join->goal, i)) {
        return GRADE_NONE;
      }
    }
    return GRADE_SEVENTH_ABANDONED;
  }
  return is_tenths(leaving)                ? GRADE_SEVENTH_TENTHS
         : is_taken_by_bass(leaving)       ? GRADE_SEVENTH_TO_BASS
         : passage->duties[seventh].is_due ? GRADE_SEVENTH_RESOLUTION
                                           : GRADE_SEVENTH_WITHOUT_GOAL;
}

static Grade
augmented_sixth_rule(const Leaving* const leaving)
{
  const Passage* const passage = leaving->join->passage;
  if (!is_augmented_sixth(passage->from->kind) || passage->is_same_root || is_held(leaving) ||
      !passage->duties[leaving->tone].is_due) {
    return GRADE_NONE;
  }
  const Tendency tendency = passage->from->tones[leaving->tone].tendency;
  const bool     opens    = tendency == TENDENCY_UP ? leaving->semitones == 1 ||
                                                 (leaving->steps == 0 && leaving->semitones == -1)
                                                    : steps_down(leaving);
  return tendency == TENDENCY_NONE || opens ? GRADE_NONE : GRADE_AUGMENTED_SIXTH_RESOLUTION;
}

static Grade
cadential_rule(const Leaving* const leaving)
{
  const Passage* const passage = leaving->join->passage;
  if (passage->from->form != QF_NUMERAL_CADENTIAL || passage->to->degree != 5 ||
      leaving->tone == passage->from->bass || steps_down(leaving) || is_held(leaving)) {
    return GRADE_NONE;
  }
  return GRADE_CADENTIAL_RESOLUTION;
}

static Grade
neapolitan_rule(const Leaving* const leaving)
{
  const Passage* const passage = leaving->join->passage;
  if (passage->from->form != QF_NUMERAL_NEAPOLITAN || passage->is_same_root ||
      passage->from->tones[leaving->tone].member != 0 || leaving->semitones <= 0) {
    return GRADE_NONE;
  }
  return GRADE_NEAPOLITAN_RESOLUTION;
}

typedef Grade (*LeavingRule)(const Leaving* leaving);

static const LeavingRule leaving_rules[] = {leading_tone_rule, seventh_rule, augmented_sixth_rule,
                                            cadential_rule, neapolitan_rule};

/// vii7 to i with the seventh above the third: both resolve only into a doubled third
static bool
is_third_forced(const Join* const join)
{
  const Sonority* const from   = join->passage->from;
  const uint32_t        third  = sounds_voices_on(join->from, from->third);
  const uint32_t        upper  = sounds_voices_on(join->from, from->seventh);
  const bool            is_vii = from->leading >= 0 && from->tones[from->leading].member == 0;
  // A lower bit is a higher voice.
  return is_vii && join->passage->is_to_tonic && upper && third && upper < third;
}

static Remark
doubled_third_rule(const Join* const join)
{
  const uint32_t voices = doubled_third_voices(join->passage->to, join->goal);
  // Rule: usual in VI after V, whose leading tone rises and whose other voices fall (all).
  if (!voices || join->passage->is_deceptive) {
    return (Remark){GRADE_NONE, 0};
  }
  return (Remark){is_third_forced(join) ? GRADE_DOUBLED_THIRD_FORCED : GRADE_DOUBLED_THIRD, voices};
}

void
judge_resolution(const Join* const join, Sink* const sink)
{
  for (size_t v = 0; v < join->to->n_voices; ++v) {
    if (!sounds_has(join->from, v) || !sounds_has(join->goal, v) || join->from->tone[v] < 0) {
      continue;
    }
    const Leaving leaving = {.join      = join,
                             .voice     = v,
                             .tone      = join->from->tone[v],
                             .steps     = join->goal->step[v] - join->from->step[v],
                             .semitones = join->goal->midi[v] - join->from->midi[v]};
    for (size_t i = 0; i < sizeof(leaving_rules) / sizeof(leaving_rules[0]); ++i) {
      const Grade grade = leaving_rules[i](&leaving);
      if (grade) {
        sink->take(sink, (Remark){grade, 1U << v});
      }
    }
  }

  const Remark remarks[] = {
    doubled_third_rule(join),
    doubled_bass_third_rule(join->passage->from, join->passage->to, join->goal),
  };
  for (size_t i = 0; i < sizeof(remarks) / sizeof(remarks[0]); ++i) {
    if (remarks[i].grade) {
      sink->take(sink, remarks[i]);
    }
  }
}
