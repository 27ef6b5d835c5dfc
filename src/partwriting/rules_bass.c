// SPDX-License-Identifier: MIT
#include "rules.h"

void
judge_bass(const Join* const join, Sink* const sink)
{
  const Passage* const passage = join->passage;
  const size_t         bass    = join->to->n_voices - 1U;
  if (passage->is_over_bar && sounds_has(join->from, bass) && sounds_has(join->to, bass) &&
      join->from->midi[bass] == join->to->midi[bass] && !passage->is_same_root &&
      passage->from->form != QF_NUMERAL_CADENTIAL) {
    sink->take(sink, (Remark){GRADE_BASS_OVER_BAR, 1U << bass});
  }
}

SixFourEntry
six_four_entry(const Passage* const passage, const int bass_steps)
{
  const Sonority* const chord = passage->to;
  if (!chord->is_triad || chord->inversion != 2 || chord->kind == QF_CHORD_DIMINISHED ||
      chord->form == QF_NUMERAL_CADENTIAL || passage->is_same_root) {
    return SIX_FOUR_NONE;
  }
  return bass_steps < -1 || bass_steps > 1 ? SIX_FOUR_BY_LEAP : SIX_FOUR_BY_STEP;
}

bool
six_four_is_stray(const SixFourEntry entry, const Passage* const passage, const int bass_steps)
{
  // Out of a broken chord, or a cadence by another name
  const Sonority* const chord = passage->from;
  if (entry == SIX_FOUR_NONE || passage->is_same_root ||
      qf_note_name_equals(passage->to->root, chord->tones[chord->bass].name)) {
    return false;
  }
  return entry == SIX_FOUR_BY_LEAP || bass_steps < -1 || bass_steps > 1;
}
