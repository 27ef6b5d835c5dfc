// SPDX-License-Identifier: MIT
#include "arrivals.h"

/// True if the end of the phrase is only told by the arrival itself
static bool
is_weak_end(const QfCadenceArrival* const arrival)
{
  return arrival->end == QF_END_LONG || arrival->end == QF_END_SIX_FOUR;
}

static bool
is_triad(const QfCadenceArrival* const arrival, const size_t index)
{
  return !qf_chord_kind_has_seventh(arrival->labels->labels[index].chord.kind);
}

/// True for a chord that can be a goal: a consonant triad
static bool
is_goal(const QfCadenceArrival* const arrival, const size_t index)
{
  const QfChordKind kind = arrival->labels->labels[index].chord.kind;

  return arrival->labels->labels[index].is_known &&
         (kind == QF_CHORD_MAJOR || kind == QF_CHORD_MINOR);
}

/// The key that a chord would be the tonic of; false if it has too many signs
static bool
key_on(const QfCadenceArrival* const arrival, QfKey* const key)
{
  const QfChord chord = arrival->labels->labels[arrival->arrival].chord;
  const QfMode  mode  = chord.kind == QF_CHORD_MINOR ? QF_MINOR : QF_MAJOR;
  const int     tonic = qf_note_name_fifths(chord.root) - (mode == QF_MINOR ? 3 : 0);

  return !qf_key_from_fifths(tonic, mode, key);
}

/// Authentic cadence onto any degree, tonicized or the tonic itself
static bool
is_authentic(const QfCadenceArrival* const arrival, QfCadence* const cadence)
{
  const QfLink* const from = qf_arrival_link(arrival, cadence->from);
  const QfLink* const goal = qf_arrival_link(arrival, arrival->first);

  if (!from->is_dominant || !qf_roots_sound_alike(from->target, goal->root) ||
      !is_goal(arrival, arrival->first) || goal->inversion == 2) {
    return false;
  }
  // The dominant prepared by its own dominant closes nothing yet, unless a key ends there.
  if ((qf_arrival_is_degree(arrival, arrival->first, 5) && from->span.key == goal->span.key) ||
      (!qf_arrival_is_degree(arrival, arrival->first, 1) && !key_on(arrival, &cadence->key))) {
    return false;
  }

  const bool is_rooted =
    qf_arrival_is_root_dominant(arrival, cadence->from) && goal->inversion == 0;

  if (is_weak_end(arrival) && !is_rooted) {
    return false;
  }

  const bool is_perfect = is_rooted && qf_arrival_link(arrival, arrival->arrival)->inversion == 0 &&
                          qf_roots_sound_alike(qf_arrival_soprano(arrival), goal->root);

  cadence->kind = is_perfect ? QF_CADENCE_PERFECT : QF_CADENCE_IMPERFECT;
  return true;
}

/// Half cadences, the Phrygian one among them
static bool
is_half(const QfCadenceArrival* const arrival, QfCadence* const cadence)
{
  const QfLabel* const from = &arrival->labels->labels[cadence->from];
  const QfLink* const  goal = qf_arrival_link(arrival, arrival->arrival);

  if (!qf_arrival_is_degree(arrival, arrival->arrival, 5) || goal->inversion != 0 ||
      !qf_arrival_has_role(arrival, arrival->arrival, QF_ROLE_DOMINANT) ||
      !is_triad(arrival, arrival->arrival) || is_weak_end(arrival)) {
    return false;
  }

  const bool is_phrygian = from->key.mode == QF_MINOR &&
                           qf_arrival_is_degree(arrival, cadence->from, 4) &&
                           from->chord.kind == QF_CHORD_MINOR && from->chord.inversion == 1;

  cadence->kind = is_phrygian ? QF_CADENCE_PHRYGIAN : QF_CADENCE_HALF;
  return true;
}

static bool
is_plagal(const QfCadenceArrival* const arrival, QfCadence* const cadence)
{
  cadence->kind = QF_CADENCE_PLAGAL;
  return !is_weak_end(arrival) && qf_arrival_is_degree(arrival, arrival->first, 1) &&
         is_goal(arrival, arrival->first) &&
         qf_arrival_link(arrival, arrival->first)->inversion == 0 &&
         qf_arrival_is_degree(arrival, cadence->from, 4) && is_goal(arrival, cadence->from);
}

static bool
is_deceptive(const QfCadenceArrival* const arrival, QfCadence* const cadence)
{
  cadence->kind = QF_CADENCE_DECEPTIVE;
  return qf_arrival_is_degree(arrival, arrival->first, 6) && is_goal(arrival, arrival->first) &&
         qf_arrival_link(arrival, arrival->first)->inversion == 0 &&
         qf_arrival_is_degree(arrival, cadence->from, 5) &&
         qf_arrival_is_root_dominant(arrival, cadence->from);
}

/// Source of the kinds: Open Music Theory, "Classical cadence types"; inverted and leading-tone
/// forms count as imperfect, as in R. Hutchinson, Music Theory for the 21st-Century Classroom,
/// "Cadences".
bool
qf_cadence_find_kind(const QfCadenceArrival* const arrival, QfCadence* const cadence)
{
  static bool (*const tests[])(const QfCadenceArrival*, QfCadence*) = {is_authentic, is_half,
                                                                       is_deceptive, is_plagal};

  for (size_t i = 0; i < sizeof(tests) / sizeof(tests[0]); ++i) {
    if (tests[i](arrival, cadence)) {
      return true;
    }
  }
  return false;
}
