// SPDX-License-Identifier: MIT
#include "connection.h"

#include <stdlib.h>

enum {
  SOPRANO,
  ALTO,
  TENOR,
  BASS,
  MAX_STEPS   = 8,
  EDGE_FAULT  = 60, ///< Price of a broken rule where an edge may be rough
  SECOND_STEP = 1
};

/// What has been paid, and what was forbidden
typedef struct {
  Strictness strictness;
  bool       is_edge;
  int        cost;
  Fault      fault;
} Bill;

// Price of a melodic motion by its staff steps: held, step, third ... octave, more.
static const int upper_motion[MAX_STEPS + 1] = {0, 1, 3, 5, 9, 13, 20, 18, 30};
static const int bass_motion[MAX_STEPS + 1]  = {0, 1, 2, 2, 3, 7, 14, 5, 24};

// Semitones of the largest interval on a number of steps that is not augmented.
static const int largest_plain[7] = {0, 2, 4, 5, 7, 9, 11};

const char*
fault_clause(const Fault fault)
{
  static const char* const clauses[FAULT_N_KINDS] = {
    [FAULT_NONE]         = "breaks no rule",
    [FAULT_PARALLELS]    = "makes consecutive fifths or octaves",
    [FAULT_OVERLAP]      = "makes voices overlap",
    [FAULT_MELODY]       = "needs an augmented or too wide leap",
    [FAULT_LEADING_TONE] = "leaves a leading tone unresolved",
    [FAULT_SEVENTH]      = "leaves a seventh unresolved",
  };
  return clauses[fault];
}

static void
charge(Bill* const bill, const Fault fault, const int full, const int relaxed)
{
  const int cost = bill->strictness == STRICTNESS_FULL ? full : relaxed;
  if (cost < COST_NEVER) {
    bill->cost += cost;
  } else if (bill->is_edge && bill->strictness == STRICTNESS_EDGES) {
    bill->cost += EDGE_FAULT;
  } else {
    bill->cost += COST_NEVER;
    bill->fault = fault;
  }
}

static bool
is_perfect(const int8_t pair)
{
  return pair == CLASS_OCTAVE || pair == CLASS_FIFTH;
}

static void
charge_pairs(Bill* const bill, const Voiced* const from, const Voiced* const to)
{
  for (size_t i = 0; i < N_PAIRS; ++i) {
    const int  upper    = to->midi[voice_pairs[i][0]] - from->midi[voice_pairs[i][0]];
    const int  lower    = to->midi[voice_pairs[i][1]] - from->midi[voice_pairs[i][1]];
    const bool is_outer = i == N_PAIRS - 1;
    if (!upper || !lower) {
      continue;
    }

    const bool is_similar = (upper > 0) == (lower > 0);
    if (is_perfect(from->pairs[i]) && from->pairs[i] == to->pairs[i]) {
      // Rule: parallels in any pair (MT21C, IBMT 10b, OMT); by contrary motion in any pair
      // (IBMT 10b) or between the outer voices (OMT).
      charge(bill, FAULT_PARALLELS, COST_NEVER, is_similar || is_outer ? COST_NEVER : 25);
    } else if (is_similar && from->pairs[i] == CLASS_DIMINISHED_FIFTH &&
               to->pairs[i] == CLASS_FIFTH) {
      // Rule: a diminished fifth before a perfect one, worse with the bass (IBMT 10b).
      charge(bill, FAULT_PARALLELS, voice_pairs[i][1] == BASS ? 20 : 4, 4);
    } else if (is_outer && is_similar && is_perfect(to->pairs[i]) &&
               abs(to->step[SOPRANO] - from->step[SOPRANO]) > SECOND_STEP) {
      // Rule: outer voices in similar motion into a perfect interval, soprano leaping (IBMT 10b).
      charge(bill, FAULT_PARALLELS, 20, 12);
    }
  }
}

static void
charge_overlap(Bill* const bill, const Voiced* const from, const Voiced* const to)
{
  for (size_t v = 0; v + 1U < QF_SATB; ++v) {
    if (to->midi[v + 1U] > from->midi[v] || to->midi[v] < from->midi[v + 1U]) {
      charge(bill, FAULT_OVERLAP, COST_NEVER, 15);
    }
  }
}

static void
charge_melody(Bill* const bill, const size_t voice, const int signed_steps, const int signed_semis)
{
  const int steps = abs(signed_steps);
  const int semitones =
    signed_steps < 0 || (!signed_steps && signed_semis < 0) ? -signed_semis : signed_semis;
  const int index = steps < MAX_STEPS ? steps : MAX_STEPS;
  bill->cost += voice == BASS ? bass_motion[index] : upper_motion[index];

  if (steps == 0) {
    bill->cost += semitones ? 1 : 0;
  } else if (semitones > largest_plain[steps % 7] + 12 * (steps / 7)) {
    // Rule: augmented intervals are avoided, the second above all (MT21C, Rules of Melody).
    charge(bill, FAULT_MELODY, steps == SECOND_STEP ? COST_NEVER : 20, steps == 1 ? 40 : 15);
  }
  if (steps > 7 || (voice != BASS && steps == 6)) {
    charge(bill, FAULT_MELODY, COST_NEVER, 30);
  }
}

/// Charge a voice that leaves a tone with a tendency; gives the cost of habits and duties alike
static void
charge_tendency(Bill* const          bill,
                const Passage* const passage,
                const size_t         voice,
                const int            tone_index,
                const int            steps,
                const int            semitones)
{
  const Tone* const tone = &passage->from->tones[tone_index];
  const Duty* const duty = &passage->duties[tone_index];
  if (!duty->is_due || (duty->may_hold && !semitones && !steps)) {
    return;
  }

  if (tone->tendency == TENDENCY_DOWN) {
    // Rule: down by step or held (MT21C, Voice Leading Seventh Chords; OMT).
    if (steps != -1 || semitones < -2 || semitones > -1) {
      charge(bill, FAULT_SEVENTH, tone->is_free ? 8 : COST_NEVER, tone->is_free ? 4 : 40);
    }
    return;
  }

  const bool rises = steps == 1 && semitones == 1;
  const bool falls = duty->may_fall_chromatically && steps == 0 && semitones == -1;
  if (!rises && !falls) {
    // Rule: up, or a semitone down to the next seventh (MT21C; OMT2); an inner one may drop a
    // third to complete the chord (OMT, frustrated leading tone; IBMT 14a).
    const bool is_inner = voice == ALTO || voice == TENOR;
    charge(bill, FAULT_LEADING_TONE, is_inner && steps == -2 ? 14 : COST_NEVER, 40);
  }
}

/// Charge letters that sound with two accidentals in different voices (common practice)
static void
charge_cross_relations(Bill* const bill, const Voiced* const from, const Voiced* const to)
{
  for (size_t a = 0; a < QF_SATB; ++a) {
    for (size_t b = 0; b < QF_SATB; ++b) {
      const QfPitch before = from->voicing.pitch[a];
      const QfPitch after  = to->voicing.pitch[b];
      if (a == b || before.letter != after.letter || before.alter == after.alter) {
        continue;
      }
      const bool is_led = from->voicing.pitch[b].letter == after.letter ||
                          to->voicing.pitch[a].letter == before.letter;
      bill->cost += is_led ? 0 : 5;
    }
  }
}

int
connection_cost(const Passage* const passage,
                const Voiced* const  from,
                const Voiced* const  to,
                const Strictness     strictness,
                Fault* const         fault)
{
  Bill bill = {.strictness = strictness, .is_edge = passage->is_edge};
  charge_pairs(&bill, from, to);
  charge_overlap(&bill, from, to);
  if (bill.cost >= COST_NEVER) {
    *fault = bill.fault;
    return COST_NEVER;
  }

  int n_up   = 0;
  int n_down = 0;
  for (size_t v = 0; v < QF_SATB; ++v) {
    const int steps     = to->step[v] - from->step[v];
    const int semitones = to->midi[v] - from->midi[v];
    n_up += semitones > 0;
    n_down += semitones < 0;
    charge_melody(&bill, v, steps, semitones);
    if (from->tone[v] >= 0 && passage->from->tones[from->tone[v]].tendency != TENDENCY_NONE) {
      charge_tendency(&bill, passage, v, from->tone[v], steps, semitones);
    }
  }

  bill.cost += n_up == QF_SATB || n_down == QF_SATB ? 6 : 0;
  if (passage->has_false_pair) {
    charge_cross_relations(&bill, from, to);
  }
  *fault = bill.fault;
  return bill.cost < COST_NEVER ? bill.cost : COST_NEVER;
}
