// SPDX-License-Identifier: MIT
#include "strikes.h"

#include <stdlib.h>

enum {
  OCTAVE = 12,
  NONE   = -1,
};

/// Slices under one chord, and what of them is heard
typedef struct {
  const QfSlice* slices;
  size_t         n_slices;
  QfChord        chord;
} Region;

/// What a voice strikes: a member of the chord, or #NONE
typedef struct {
  int     member;
  QfPitch pitch;
} Pick;

typedef struct {
  Pick   voices[QF_MAX_VOICES];
  size_t bass; ///< Voice that has the bass
} Block;

// What makes a quality out first: seventh and third, then the ninth; the fifth is missed least.
// Common practice: the fifth is the first to be omitted.
static const int by_weight[QF_CHORD_MAX_NOTES] = {3, 1, 4, 0, 2};

/// Member of a chord that a pitch sounds as, whatever its spelling, or #NONE
static int
member_of(const QfChord chord, const QfPitch pitch)
{
  const int root = qf_note_name_semitones(chord.root);
  const int over = ((qf_pitch_midi(pitch) - root) % OCTAVE + OCTAVE) % OCTAVE;
  for (int member = 0; member < qf_chord_kind_size(chord.kind); ++member) {
    if (qf_chord_kind_member(chord.kind, member).semitones % OCTAVE == over) {
      return member;
    }
  }
  return NONE;
}

/// The lowest note of the chord's bass, or else of the chord; false if there is none
static bool
pick_bass(const Region* const region, Block* const block)
{
  bool has_bass = false;
  bool is_right = false;
  for (size_t i = 0; i < region->n_slices; ++i) {
    const QfSlice* const slice = &region->slices[i];
    for (size_t n = 0; n < slice->n_notes; ++n) {
      const QfSounding* const note     = &slice->notes[n];
      const int               member   = member_of(region->chord, note->pitch);
      const bool              is_asked = member == region->chord.inversion;
      const bool              is_lower =
        !has_bass || qf_pitch_compare(note->pitch, block->voices[block->bass].pitch) < 0;
      if (member != NONE && ((is_asked && !is_right) || (is_asked == is_right && is_lower))) {
        block->bass                = note->voice;
        block->voices[note->voice] = (Pick){member, note->pitch};
        has_bass                   = true;
        is_right                   = is_asked;
      }
    }
  }
  return has_bass;
}

/// True if a note may sound above the block's bass
static bool
may_join(const Block* const block, const QfSounding* const note)
{
  return note->voice != block->bass &&
         qf_pitch_compare(note->pitch, block->voices[block->bass].pitch) >= 0;
}

/// The first chord tone of every other voice
static void
pick_others(const Region* const region, Block* const block)
{
  for (size_t i = 0; i < region->n_slices; ++i) {
    const QfSlice* const slice = &region->slices[i];
    for (size_t n = 0; n < slice->n_notes; ++n) {
      const QfSounding* const note = &slice->notes[n];
      Pick* const             pick = &block->voices[note->voice];
      if (pick->member == NONE && may_join(block, note)) {
        *pick = (Pick){member_of(region->chord, note->pitch), note->pitch};
      }
    }
  }
}

static int
n_with(const Block* const block, const int member)
{
  int n = 0;
  for (size_t voice = 0; voice < QF_MAX_VOICES; ++voice) {
    n += block->voices[voice].member == member;
  }
  return n;
}

/// Place of a member in the order of weight
static int
lightness(const int member)
{
  int place = 0;
  while (by_weight[place] != member) {
    ++place;
  }
  return place;
}

/// Strike a member that is heard later on in place of a doubled or lighter one
static void
add_member(const Region* const region, const int member, Block* const block)
{
  for (size_t i = 0; i < region->n_slices; ++i) {
    const QfSlice* const slice = &region->slices[i];
    for (size_t n = 0; n < slice->n_notes; ++n) {
      const QfSounding* const note = &slice->notes[n];
      Pick* const             pick = &block->voices[note->voice];
      if (may_join(block, note) && member_of(region->chord, note->pitch) == member &&
          pick->member != NONE &&
          (n_with(block, pick->member) > 1 || lightness(pick->member) > lightness(member))) {
        *pick = (Pick){member, note->pitch};
        return;
      }
    }
  }
}

static void
add_struck(QfStrike* const strike, const uint8_t voice, const QfPitch pitch)
{
  size_t place = strike->n_notes++;
  for (; place > 0 && qf_pitch_compare(pitch, strike->notes[place - 1U].pitch) < 0; --place) {
    strike->notes[place] = strike->notes[place - 1U];
  }
  strike->notes[place] = (QfStruck){voice, pitch};
}

/// The chord of a region as a block; without notes if the region has none of it
static void
strike_chord(const Region* const region, QfStrike* const strike)
{
  Block block = {.bass = 0};
  for (size_t voice = 0; voice < QF_MAX_VOICES; ++voice) {
    block.voices[voice].member = NONE;
  }
  if (!pick_bass(region, &block)) {
    return;
  }

  // What pick_bass() tried on the way is not struck.
  for (size_t voice = 0; voice < QF_MAX_VOICES; ++voice) {
    if (voice != block.bass) {
      block.voices[voice].member = NONE;
    }
  }
  pick_others(region, &block);
  for (int i = 0; i < QF_CHORD_MAX_NOTES; ++i) {
    if (!n_with(&block, by_weight[i])) {
      add_member(region, by_weight[i], &block);
    }
  }
  for (size_t voice = 0; voice < QF_MAX_VOICES; ++voice) {
    if (block.voices[voice].member != NONE) {
      add_struck(strike, (uint8_t)voice, block.voices[voice].pitch);
    }
  }
}

static void
strike_slice(const QfSlice* const slice, QfStrike* const strike)
{
  for (size_t n = 0; n < slice->n_notes; ++n) {
    add_struck(strike, slice->notes[n].voice, slice->notes[n].pitch);
  }
}

/// The labelled chord at a time, or NULL
static const QfLabel*
chord_at(const QfLabels* const labels, const QfTime time)
{
  const size_t         index = labels ? qf_labels_link_at(labels, time) : SIZE_MAX;
  const QfLabel* const label = index == SIZE_MAX ? NULL : qf_labels_get_link(labels, index);
  return label && label->is_known ? label : NULL;
}

static bool
is_same_chord(const QfLabel* const a, const QfLabel* const b)
{
  return a && b && a->chord.kind == b->chord.kind && a->chord.inversion == b->chord.inversion &&
         qf_note_name_semitones(a->chord.root) == qf_note_name_semitones(b->chord.root);
}

/// Slices from one on that lie under the same chord and before an end
static size_t
count_alike(const QfSlices* const slices,
            const size_t          first,
            const QfLabels* const labels,
            const QfTime          to)
{
  const QfLabel* const label = chord_at(labels, slices->slices[first].start);
  size_t               n     = 1;
  while (first + n < slices->n_slices && qf_time_compare(slices->slices[first + n].start, to) < 0 &&
         is_same_chord(label, chord_at(labels, slices->slices[first + n].start))) {
    ++n;
  }
  return n;
}

/// The part of some slices in which something sounds; false if nothing does
static bool
find_sounding(const QfSlice* const slices, const size_t n_slices, QfStrike* const strike)
{
  bool is_heard = false;
  for (size_t i = 0; i < n_slices; ++i) {
    if (slices[i].n_notes) {
      strike->start = is_heard ? strike->start : slices[i].start;
      strike->end   = slices[i].end;
      is_heard      = true;
    }
  }
  return is_heard;
}

static void
add_strike(QfStrikes* const result, QfStrike strike, const QfTime from, const QfTime to)
{
  strike.start = qf_time_max(strike.start, from);
  strike.end   = qf_time_min(strike.end, to);
  if (strike.n_notes && qf_time_compare(strike.start, strike.end) < 0) {
    result->strikes[result->n_strikes++] = strike;
  }
}

QfStatus
qf_strikes_of(const QfSlices* const slices,
              const QfLabels* const labels,
              const QfTime          from,
              const QfTime          to,
              QfStrikes* const      result)
{
  *result = (QfStrikes){(QfStrike*)calloc(slices->n_slices + 1U, sizeof(QfStrike)), 0};
  if (!result->strikes) {
    return QF_ERR_NO_MEM;
  }

  size_t i = 0;
  while (i < slices->n_slices && qf_time_compare(slices->slices[i].end, from) <= 0) {
    ++i;
  }
  while (i < slices->n_slices && qf_time_compare(slices->slices[i].start, to) < 0) {
    const QfSlice* const slice  = &slices->slices[i];
    const QfLabel* const label  = chord_at(labels, slice->start);
    const size_t         n      = label ? count_alike(slices, i, labels, to) : 1U;
    QfStrike             strike = {.n_notes = 0};
    if (label && find_sounding(slice, n, &strike)) {
      strike_chord(&(Region){slice, n, label->chord}, &strike);
      add_strike(result, strike, from, to);
    }
    for (size_t s = 0; s < n && !strike.n_notes; ++s) {
      QfStrike own = {.start = slice[s].start, .end = slice[s].end};
      strike_slice(&slice[s], &own);
      add_strike(result, own, from, to);
    }
    i += n;
  }
  return QF_OK;
}

void
qf_strikes_clear(QfStrikes* const strikes)
{
  free(strikes->strikes);
  *strikes = (QfStrikes){NULL, 0};
}
