// SPDX-License-Identifier: MIT
#include "rules.h"

#include <stdlib.h>

enum { MAX_ORDERED = 5 }; ///< More parts are instruments, in no order of height

/// Two voices that both move
typedef struct {
  const Passage* passage;
  PairClass      before;
  PairClass      after;
  bool           is_similar;
  bool           is_outer;
  bool           has_bass;
  int            upper_steps;
} PairMotion;

/// Ger65 to V: between bass and lowered third (common practice)
static bool
is_german(const PairMotion* const pair)
{
  const Passage* const passage = pair->passage;
  return passage && passage->from->kind == QF_CHORD_GERMAN && pair->has_bass &&
         passage->to->degree == 5;
}

static Grade
parallel_rule(const PairMotion* const pair)
{
  if (!pair->is_similar || pair->before != pair->after) {
    return GRADE_NONE;
  }
  return pair->after == CLASS_OCTAVE  ? GRADE_PARALLEL_OCTAVES
         : pair->after != CLASS_FIFTH ? GRADE_NONE
         : is_german(pair)            ? GRADE_PARALLEL_FIFTHS_GERMAN
                                      : GRADE_PARALLEL_FIFTHS;
}

static Grade
contrary_rule(const PairMotion* const pair)
{
  if (pair->is_similar || pair->before != pair->after) {
    return GRADE_NONE;
  }
  return pair->after == CLASS_OCTAVE
           ? (pair->is_outer ? GRADE_CONTRARY_OCTAVES_OUTER : GRADE_CONTRARY_OCTAVES)
         : pair->after == CLASS_FIFTH
           ? (pair->is_outer ? GRADE_CONTRARY_FIFTHS_OUTER : GRADE_CONTRARY_FIFTHS)
           : GRADE_NONE;
}

static Grade
direct_rule(const PairMotion* const pair)
{
  if (!pair->is_outer || !pair->is_similar || abs(pair->upper_steps) < 2 ||
      pair->before == pair->after) {
    return GRADE_NONE;
  }
  return pair->after == CLASS_OCTAVE  ? GRADE_DIRECT_OCTAVES
         : pair->after == CLASS_FIFTH ? GRADE_DIRECT_FIFTHS
                                      : GRADE_NONE;
}

static Grade
unequal_rule(const PairMotion* const pair)
{
  if (!pair->is_similar || pair->before != CLASS_DIMINISHED_FIFTH || pair->after != CLASS_FIFTH) {
    return GRADE_NONE;
  }
  return pair->has_bass ? GRADE_UNEQUAL_FIFTHS_BASS : GRADE_UNEQUAL_FIFTHS_UPPER;
}

typedef Grade (*PairRule)(const PairMotion* pair);

static const PairRule pair_rules[] = {parallel_rule, contrary_rule, direct_rule, unequal_rule};

static void
judge_pair(const Join* const join, const size_t upper, const size_t lower, Sink* const sink)
{
  const int up   = join->to->midi[upper] - join->from->midi[upper];
  const int down = join->to->midi[lower] - join->from->midi[lower];
  if (!up || !down) {
    return;
  }
  const PairClass after = sounds_pair(join->to, upper, lower);
  if (after == CLASS_OTHER || after == CLASS_DIMINISHED_FIFTH) {
    return; // Every rule of pairs speaks of a perfect interval that is reached
  }

  const size_t     last = join->to->n_voices - 1U;
  const PairMotion pair = {.passage     = join->passage,
                           .before      = sounds_pair(join->from, upper, lower),
                           .after       = after,
                           .is_similar  = (up > 0) == (down > 0),
                           .is_outer    = upper == 0 && lower == last,
                           .has_bass    = lower == last,
                           .upper_steps = join->to->step[upper] - join->from->step[upper]};
  for (size_t i = 0; i < sizeof(pair_rules) / sizeof(pair_rules[0]); ++i) {
    const Grade grade = pair_rules[i](&pair);
    if (grade) {
      sink->take(sink, (Remark){grade, 1U << upper | 1U << lower});
    }
  }
}

/// Crossed voices are another matter
static bool
overlaps(const Join* const join, const size_t upper, const size_t lower)
{
  if (join->from->midi[upper] < join->from->midi[lower] ||
      join->to->midi[upper] < join->to->midi[lower]) {
    return false;
  }
  return join->to->midi[lower] > join->from->midi[upper] ||
         join->to->midi[upper] < join->from->midi[lower];
}

static QfNoteName
name_in(const Sounds* const sounds, const size_t voice)
{
  const QfPitch natural = qf_pitch_from_step(sounds->step[voice], 0);
  return (QfNoteName){natural.letter, (int8_t)(sounds->midi[voice] - qf_pitch_midi(natural))};
}

static bool
is_false_pair(const QfNoteName before, const QfNoteName after)
{
  return before.letter == after.letter && abs(before.alter - after.alter) == 1;
}

/// Does some voice make the chromatic step itself?
static bool
is_led(const Join* join, const QfNoteName before, const QfNoteName after, const uint32_t both)
{
  for (size_t v = 0; v < join->to->n_voices; ++v) {
    if (((both >> v) & 1U) && qf_note_name_equals(name_in(join->from, v), before) &&
        qf_note_name_equals(name_in(join->to, v), after)) {
      return true;
    }
  }
  return false;
}

/// A Neapolitan's is usual; one that comes with the bass of a new chord cannot be helped
static Grade
cross_relation_grade(const Join* const join, const size_t to_voice)
{
  if (!join->passage) {
    return GRADE_CROSS_RELATION;
  }
  const size_t bass  = join->to->n_voices - 1U;
  const bool   leads = join->from->step[bass] % 7 == join->to->step[bass] % 7;
  return join->passage->from->form == QF_NUMERAL_NEAPOLITAN ? GRADE_CROSS_RELATION_NEAPOLITAN
         : to_voice == bass && !leads                       ? GRADE_CROSS_RELATION_BASS
                                                            : GRADE_CROSS_RELATION;
}

static void
judge_cross_relations(const Join* const join, const uint32_t both, Sink* const sink)
{
  for (size_t a = 0; a < join->to->n_voices; ++a) {
    for (size_t b = 0; b < join->to->n_voices; ++b) {
      const QfNoteName before = name_in(join->from, a);
      const QfNoteName after  = name_in(join->to, b);
      if (a != b && ((both >> a) & 1U) && ((both >> b) & 1U) && is_false_pair(before, after) &&
          !is_led(join, before, after, both)) {
        sink->take(sink, (Remark){cross_relation_grade(join, b), 1U << a | 1U << b});
      }
    }
  }
}

void
judge_motion(const Join* const join, Sink* const sink)
{
  const uint32_t both = join->from->sounding & join->to->sounding;
  const size_t   n    = join->to->n_voices;
  for (size_t upper = 0; upper + 1U < n; ++upper) {
    for (size_t lower = upper + 1U; ((both >> upper) & 1U) && lower < n; ++lower) {
      if (!((both >> lower) & 1U)) {
        continue;
      }
      judge_pair(join, upper, lower, sink);
      if (lower == upper + 1U && n <= MAX_ORDERED && overlaps(join, upper, lower)) {
        sink->take(sink, (Remark){GRADE_OVERLAP, 3U << upper});
      }
    }
  }
  if (!join->passage || join->passage->has_false_pair) {
    judge_cross_relations(join, both, sink);
  }
}
