// SPDX-License-Identifier: MIT
#include "rules.h"

static const Remark nothing = {GRADE_NONE, 0};

static uint32_t
doubled(const ChordView* const chord, const int tone)
{
  const uint32_t voices = sounds_voices_on(chord->sounds, tone);
  return count_bits(voices) > 1 ? voices : 0;
}

static Remark
leading_tone_rule(const ChordView* const chord)
{
  const uint32_t voices = doubled(chord, chord->sonority->leading);
  if (!voices) {
    return nothing;
  }
  // Rule: tolerated where V6 passes to IV6 (IBMT 11b).
  const bool is_passing = chord->next && passage_is_falling_sixths(chord->next);
  return (Remark){is_passing ? GRADE_LEADING_TONE_DOUBLED_PASSING : GRADE_LEADING_TONE_DOUBLED,
                  voices};
}

static Remark
seventh_rule(const ChordView* const chord)
{
  const uint32_t voices = doubled(chord, chord->sonority->seventh);
  return voices ? (Remark){GRADE_SEVENTH_DOUBLED, voices} : nothing;
}

static Remark
altered_rule(const ChordView* const chord)
{
  for (int i = 0; is_augmented_sixth(chord->sonority->kind) && i < chord->sonority->n_tones; ++i) {
    const uint32_t voices = doubled(chord, i);
    if (voices && chord->sonority->tones[i].tendency != TENDENCY_NONE) {
      return (Remark){GRADE_ALTERED_DOUBLED, voices};
    }
  }
  return nothing;
}

/// Does a suspension or appoggiatura sound in a tone's stead?
static bool
is_replaced(const ChordView* const chord, const int tone)
{
  for (size_t v = 0; v < chord->sounds->n_voices; ++v) {
    if (sounds_has(chord->sounds, v) && chord->sounds->tone[v] < 0) {
      const int letter = chord->sounds->step[v] % 7;
      const int gap    = (letter - chord->sonority->tones[tone].name.letter + 7) % 7;
      if (gap == 0 || gap == 1 || gap == 6) {
        return true;
      }
    }
  }
  return false;
}

static bool
lacks(const ChordView* const chord, const int tone)
{
  return tone >= 0 && !sounds_voices_on(chord->sounds, tone) && !is_replaced(chord, tone);
}

static Remark
missing_third_rule(const ChordView* const chord)
{
  return lacks(chord, chord->sonority->third) ? (Remark){GRADE_MISSING_THIRD, 0} : nothing;
}

static Remark
missing_fifth_rule(const ChordView* const chord)
{
  if (!lacks(chord, chord->sonority->fifth) || is_augmented_sixth(chord->sonority->kind)) {
    return nothing;
  }
  return (Remark){chord->sonority->inversion ? GRADE_MISSING_FIFTH_INVERTED : GRADE_MISSING_FIFTH,
                  0};
}

/// A ninth chord in four voices may go without its root
static Remark
missing_note_rule(const ChordView* const chord)
{
  const Sonority* const sonority  = chord->sonority;
  const bool            has_ninth = sonority->complete > 4;
  for (int tone = 0; tone < sonority->n_tones; ++tone) {
    const bool is_root = sonority->tones[tone].member == 0 && !is_augmented_sixth(sonority->kind);
    if (is_root && !has_ninth && lacks(chord, tone)) {
      return (Remark){GRADE_MISSING_ROOT, 0};
    }
  }
  return lacks(chord, sonority->seventh) ? (Remark){GRADE_MISSING_SEVENTH, 0} : nothing;
}

static Remark
six_four_rule(const ChordView* const chord)
{
  const Sonority* const sonority = chord->sonority;
  const bool            is_six_four =
    sonority->form == QF_NUMERAL_CADENTIAL || (sonority->is_triad && sonority->inversion == 2);
  return is_six_four && !doubled(chord, sonority->bass) ? (Remark){GRADE_SIX_FOUR_DOUBLING, 0}
                                                        : nothing;
}

static bool
is_sixth_chord(const Sonority* const sonority)
{
  return sonority->is_triad && sonority->inversion == 1;
}

Remark
doubled_bass_third_rule(const Sonority* const before,
                        const Sonority* const sonority,
                        const Sounds* const   sounds)
{
  const bool     is_plain = sonority->kind == QF_CHORD_MAJOR || sonority->kind == QF_CHORD_MINOR;
  const uint32_t voices   = sounds_voices_on(sounds, sonority->third);
  // Rule: diminished sixths double the bass, and so does the Neapolitan; in a row of sixth chords
  // every doubling passes (MT21C). Leading tones have a rule of their own.
  if (!is_plain || !is_sixth_chord(sonority) || sonority->form == QF_NUMERAL_NEAPOLITAN ||
      sonority->leading == sonority->third || count_bits(voices) < 2 ||
      (before && is_sixth_chord(before))) {
    return nothing;
  }
  // The bass of these is the degree 1, 4 or 5; that of vii6 has no plain triad.
  const bool is_fixed = !sonority->is_applied &&
                        (sonority->degree == 6 || sonority->degree == 2 || sonority->degree == 3);
  return (Remark){is_fixed ? GRADE_DOUBLED_THIRD_IN_BASS_FIXED : GRADE_DOUBLED_THIRD_IN_BASS,
                  voices};
}

uint32_t
doubled_third_voices(const Sonority* const sonority, const Sounds* const sounds)
{
  const bool     is_plain = sonority->kind == QF_CHORD_MAJOR || sonority->kind == QF_CHORD_MINOR;
  const uint32_t voices   = sounds_voices_on(sounds, sonority->third);
  return is_plain && sonority->inversion == 0 && sonority->leading != sonority->third &&
             count_bits(voices) > 1
           ? voices
           : 0;
}

/// Later chords are judged with the one before them
static Remark
first_doubled_third_rule(const ChordView* const chord)
{
  const uint32_t voices = doubled_third_voices(chord->sonority, chord->sounds);
  return chord->is_first && voices ? (Remark){GRADE_DOUBLED_THIRD, voices} : nothing;
}

static Remark
first_doubled_bass_rule(const ChordView* const chord)
{
  return chord->is_first ? doubled_bass_third_rule(NULL, chord->sonority, chord->sounds) : nothing;
}

typedef Remark (*ContentRule)(const ChordView* chord);

static const ContentRule content_rules[] = {
  leading_tone_rule,       seventh_rule,      altered_rule,  missing_third_rule,
  missing_fifth_rule,      missing_note_rule, six_four_rule, first_doubled_third_rule,
  first_doubled_bass_rule,
};

void
judge_content(const ChordView* const chord, Sink* const sink)
{
  for (size_t i = 0; i < sizeof(content_rules) / sizeof(content_rules[0]); ++i) {
    const Remark remark = content_rules[i](chord);
    if (remark.grade) {
      sink->take(sink, remark);
    }
  }
}
