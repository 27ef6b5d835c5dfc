// SPDX-License-Identifier: MIT
#include "resolve.h"

static bool
sound_alike(const QfNoteName a, const QfNoteName b)
{
  return qf_note_name_semitones(a) == qf_note_name_semitones(b);
}

/// True for chords with a leading tone: V but not v, vii but not VII
static bool
has_leading_tone(const QfNumeral* const numeral)
{
  switch (numeral->kind) {
    case QF_CHORD_MAJOR:
    case QF_CHORD_AUGMENTED:
    case QF_CHORD_DOM7:
    case QF_CHORD_AUG7:
    case QF_CHORD_DOM7_FLAT5:
    case QF_CHORD_DOM9:
    case QF_CHORD_DOM_MINOR9:
      return numeral->form == QF_NUMERAL_ROMAN && numeral->degree == 5 && !numeral->alter;
    case QF_CHORD_DIMINISHED:
    case QF_CHORD_HALF_DIM7:
    case QF_CHORD_DIM7:
      return numeral->form == QF_NUMERAL_ROMAN && numeral->degree == 7;
    default:
      return false;
  }
}

Expectation
expectation_of(const QfNumeral* const numeral, const QfKey key)
{
  Expectation result = {.target = key};

  qf_numeral_target_key(numeral, key, &result.target);
  result.is_dominant = has_leading_tone(numeral);
  result.is_any      = result.is_dominant || numeral->form != QF_NUMERAL_ROMAN;
  if (result.is_dominant) {
    result.root = result.target.tonic;
  } else if (qf_key_degree(result.target, 5, 0, &result.root)) {
    result.is_any = false;
  }
  return result;
}

static bool
is_dominant_seventh_like(const QfNumeral* const numeral)
{
  return has_leading_tone(numeral) && qf_chord_kind_has_seventh(numeral->kind);
}

/// The root of the dominant that a chord with a leading tone is or stands for
static QfNoteName
dominant_root(const Expectation* const expected)
{
  QfNoteName root = {0, 0};
  qf_key_degree(expected->target, 5, 0, &root);
  return root;
}

static bool
is_same_function(const QfNumeral* const   from,
                 const Expectation* const expected,
                 const QfNumeral* const   to,
                 const Expectation* const next)
{
  if (expected->is_dominant && (next->is_dominant || to->form == QF_NUMERAL_CADENTIAL)) {
    return sound_alike(expected->target.tonic, next->target.tonic);
  }
  return from->form == to->form && from->degree == to->degree && from->alter == to->alter &&
         sound_alike(expected->target.tonic, next->target.tonic);
}

QfResolution
resolution_of(const QfNumeral* const from, const QfNumeral* const to, const QfKey key)
{
  const Expectation expected = expectation_of(from, key);
  const Expectation next     = expectation_of(to, key);
  QfChord           chord    = {0};

  if (!expected.is_any || qf_numeral_chord(to, key, &chord, NULL)) {
    return QF_RESOLUTION_NONE;
  }
  if (is_same_function(from, &expected, to, &next)) {
    return QF_RESOLUTION_PROLONGED;
  }

  const bool is_same_dominant =
    next.is_dominant && sound_alike(dominant_root(&next), expected.root);

  // The cadential six-four stands for the dominant over whose bass it sounds.
  if (to->form == QF_NUMERAL_CADENTIAL && sound_alike(next.root, expected.root)) {
    return QF_RESOLUTION_KEPT;
  }
  if (is_same_dominant && !expected.is_dominant) {
    return QF_RESOLUTION_KEPT;
  }
  if (is_same_dominant && is_dominant_seventh_like(to)) {
    return QF_RESOLUTION_CHAINED;
  }
  if (sound_alike(chord.root, expected.root)) {
    return QF_RESOLUTION_KEPT;
  }
  return is_dominant_seventh_like(to) || qf_numeral_function(to) == QF_FUNCTION_APPLIED
           ? QF_RESOLUTION_DEFLECTED
           : QF_RESOLUTION_DECEPTIVE;
}

/// A major or minor triad whose root stands a step above the dominant's
static bool
is_deceptive_goal(const QfNumeral* const to, const QfKey key, const Expectation* const expected)
{
  QfChord chord = {0};
  if (qf_numeral_chord(to, key, &chord, NULL) ||
      (to->kind != QF_CHORD_MAJOR && to->kind != QF_CHORD_MINOR)) {
    return false;
  }
  const QfInterval rise = qf_interval_between_names(dominant_root(expected), chord.root);
  return expected->is_dominant && rise.steps == 1 && (rise.semitones == 1 || rise.semitones == 2);
}

/// Where a chord without a leading tone may go, by what it does in the phrase
static bool
may_follow_freely(const QfNumeral* const from, const QfNumeral* const to)
{
  const QfFunction here  = qf_numeral_function(from);
  const QfFunction there = qf_numeral_function(to);
  const bool       is_chromatic_predominant =
    to->form != QF_NUMERAL_ROMAN && there != QF_FUNCTION_DOMINANT;

  switch (here) {
    case QF_FUNCTION_TONIC:
      return true;
    case QF_FUNCTION_PREDOMINANT:
      return there != QF_FUNCTION_TONIC || (from->degree == 4 && to->degree == 1);
    case QF_FUNCTION_DOMINANT: // The minor dominant and the subtonic
      return there != QF_FUNCTION_APPLIED && !is_chromatic_predominant;
    case QF_FUNCTION_APPLIED:
      return false;
  }
  return false;
}

/// A chord inside the key of a degree goes to that degree or its dominants
static bool
stays_with_target(const QfNumeral* const from, const QfNumeral* const to, const QfKey key)
{
  const Expectation here  = expectation_of(from, key);
  const Expectation there = expectation_of(to, key);
  QfChord           chord = {0};

  return !qf_numeral_chord(to, key, &chord, NULL) &&
         ((there.is_dominant && sound_alike(there.target.tonic, here.target.tonic)) ||
          sound_alike(chord.root, here.target.tonic));
}

bool
may_follow(const QfNumeral* const from, const QfNumeral* const to, const QfKey key)
{
  const Expectation expected = expectation_of(from, key);

  switch (resolution_of(from, to, key)) {
    case QF_RESOLUTION_KEPT:
    case QF_RESOLUTION_CHAINED:
      return true;
    case QF_RESOLUTION_PROLONGED:
      return expected.is_dominant && to->form != QF_NUMERAL_CADENTIAL;
    case QF_RESOLUTION_DEFLECTED:
      // common practice: the Neapolitan may pass through a chord applied to the dominant.
      return expected.is_dominant ||
             (from->form == QF_NUMERAL_NEAPOLITAN && to->n_targets && to->targets[0].degree == 5);
    case QF_RESOLUTION_DECEPTIVE:
      return is_deceptive_goal(to, key, &expected);
    case QF_RESOLUTION_NONE:
    case QF_RESOLUTION_OPEN:
      break;
  }
  return may_follow_freely(from, to) ||
         (qf_numeral_function(from) == QF_FUNCTION_APPLIED && stays_with_target(from, to, key));
}
