// SPDX-License-Identifier: MIT
#include "passage.h"

static bool
contains(const Sonority* const sonority, const QfNoteName name)
{
  for (int i = 0; i < sonority->n_tones; ++i) {
    if (qf_note_name_equals(sonority->tones[i].name, name)) {
      return true;
    }
  }
  return false;
}

static bool
contains_moved(const Sonority* const sonority,
               const QfNoteName      from,
               const int             steps,
               const int             semitones)
{
  QfNoteName name = {0, 0};
  return !qf_note_name_transpose(from, (QfInterval){(int16_t)steps, (int16_t)semitones}, &name) &&
         contains(sonority, name);
}

static Duty
duty_of(const Tone* const tone, const Sonority* const to)
{
  Duty duty     = {.may_hold = contains(to, tone->name)};
  bool has_goal = false;
  if (tone->tendency == TENDENCY_UP) {
    duty.may_fall_chromatically = contains_moved(to, tone->name, 0, -1);
    has_goal = contains_moved(to, tone->name, 1, 1) || duty.may_fall_chromatically;
  } else if (tone->tendency == TENDENCY_DOWN) {
    has_goal = contains_moved(to, tone->name, -1, -1) || contains_moved(to, tone->name, -1, -2) ||
               duty.may_hold;
  }
  duty.is_due = has_goal;
  return duty;
}

/// The sixth degree of the local key, in major or minor
static bool
is_sixth_degree(const QfNoteName tonic, const QfNoteName root)
{
  const QfInterval up = qf_interval_between_names(root, tonic);
  return up.steps == 2 && (up.semitones == 3 || up.semitones == 4);
}

Passage
passage_between(const Sonority* const from, const Sonority* const to)
{
  Passage passage = {
    .from = from, .to = to, .is_same_root = qf_note_name_equals(from->root, to->root)};
  if (from->leading >= 0) {
    passage.is_to_tonic = qf_note_name_equals(from->tonic, to->root);
    // V to V/ii has the tonic raised: there is nowhere for the leading tone to resolve to.
    passage.is_deceptive = is_sixth_degree(from->tonic, to->root) && contains(to, from->tonic);
  }
  for (int i = 0; i < from->n_tones; ++i) {
    passage.duties[i] = duty_of(&from->tones[i], to);
    passage.duties[i].is_due &= !passage.is_same_root;
    for (int k = 0; k < to->n_tones; ++k) {
      passage.has_false_pair |= from->tones[i].name.letter == to->tones[k].name.letter &&
                                from->tones[i].name.alter != to->tones[k].name.alter;
    }
  }
  return passage;
}

bool
passage_is_falling_sixths(const Passage* const passage)
{
  const Sonority* const from = passage->from;
  const Sonority* const to   = passage->to;
  return from->is_triad && from->inversion == 1 && from->degree == 5 && !from->is_applied &&
         to->is_triad && to->inversion == 1 && to->degree == 4 && !to->is_applied;
}
