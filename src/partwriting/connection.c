// SPDX-License-Identifier: MIT
#include "connection.h"

#include <stdlib.h>
#include <string.h>

enum {
  MAX_STEPS     = 8,
  THIRD         = 2,
  ALL_TOGETHER  = 6, ///< Price of all voices going one way
  CHROMATIC_FEE = 1,
};

// Price of a melodic motion by its staff steps: held, step, third ... octave, more.
static const int upper_motion[MAX_STEPS + 1] = {0, 1, 3, 5, 9, 13, 20, 18, 30};
static const int bass_motion[MAX_STEPS + 1]  = {0, 1, 2, 2, 3, 7, 14, 5, 24};

int
motion_cost(const Voiced* const from, const Voiced* const to)
{
  const size_t n_voices = to->sounds.n_voices;
  size_t       n_up     = 0;
  size_t       n_down   = 0;
  int          cost     = 0;
  for (size_t v = 0; v < n_voices; ++v) {
    const int steps     = abs(to->sounds.step[v] - from->sounds.step[v]);
    const int semitones = to->sounds.midi[v] - from->sounds.midi[v];
    const int index     = steps < MAX_STEPS ? steps : MAX_STEPS;
    cost += v + 1U == n_voices ? bass_motion[index] : upper_motion[index];
    cost += !steps && semitones ? CHROMATIC_FEE : 0;
    n_up += semitones > 0;
    n_down += semitones < 0;
  }
  return cost + (n_up == n_voices || n_down == n_voices ? ALL_TOGETHER : 0);
}

int
connection_cost(const Passage* const passage,
                const Voiced* const  from,
                const Voiced* const  to,
                const Policy* const  policy,
                Grade* const         fault)
{
  Bill       bill = bill_new(policy->profile, passage->is_edge && policy->is_lenient);
  const Join join = {
    .passage = passage, .from = &from->sounds, .to = &to->sounds, .goal = &to->sounds};
  judge_motion(&join, &bill.sink);
  for (size_t v = 0; bill.cost < COST_NEVER && v < policy->n_voices; ++v) {
    const VoiceMotion motion = {.voice     = v,
                                .n_voices  = policy->n_voices,
                                .steps     = to->sounds.step[v] - from->sounds.step[v],
                                .semitones = to->sounds.midi[v] - from->sounds.midi[v]};
    judge_melody(&motion, &bill.sink);
  }
  if (bill.cost < COST_NEVER) {
    judge_resolution(&join, &bill.sink);
    judge_bass(&join, &bill.sink);
  }
  *fault = bill.fault;
  return bill.cost < COST_NEVER ? bill.cost + motion_cost(from, to) : COST_NEVER;
}

int
arrival_cost(const Arrival* const arrival,
             const Passage* const passage,
             const Voiced* const  from,
             const Voiced* const  to,
             const Policy* const  policy)
{
  int cost = 0;
  for (size_t v = 0; v < policy->n_voices; ++v) {
    if (!arrival->steps[v]) {
      continue;
    }
    VoiceMotion motion = {.voice     = v,
                          .n_voices  = policy->n_voices,
                          .steps     = to->sounds.step[v] - from->sounds.step[v],
                          .semitones = to->sounds.midi[v] - from->sounds.midi[v]};
    Bill        with   = bill_new(policy->profile, false);
    Bill        alone  = with;
    judge_melody(&motion, &alone.sink);
    motion.has_before       = true;
    motion.before_steps     = arrival->steps[v];
    motion.before_semitones = arrival->semitones[v];
    judge_melody(&motion, &with.sink);
    cost += with.cost - alone.cost;
  }
  const size_t bass = policy->n_voices - 1U;
  if (six_four_is_stray((SixFourEntry)arrival->six_four, passage,
                        to->sounds.step[bass] - from->sounds.step[bass])) {
    Bill bill = bill_new(policy->profile, false);
    bill.sink.take(&bill.sink, (Remark){GRADE_SIX_FOUR_USE, 0});
    cost += bill.cost;
  }
  return cost;
}

Arrival
arrival_of(const Passage* const passage, const Voiced* const from, const Voiced* const to)
{
  Arrival arrival;
  memset(&arrival, 0, sizeof(arrival));
  for (size_t v = 0; v < to->sounds.n_voices && v < MAX_PARTS; ++v) {
    const int steps = to->sounds.step[v] - from->sounds.step[v];
    if (abs(steps) >= THIRD) {
      arrival.steps[v]     = (int8_t)steps;
      arrival.semitones[v] = (int8_t)(to->sounds.midi[v] - from->sounds.midi[v]);
    }
  }
  const size_t bass = to->sounds.n_voices - 1U;
  arrival.six_four =
    (int8_t)six_four_entry(passage, to->sounds.step[bass] - from->sounds.step[bass]);
  return arrival;
}

bool
arrival_equals(const Arrival* const a, const Arrival* const b)
{
  return !memcmp(a, b, sizeof(*a));
}
