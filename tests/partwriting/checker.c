// SPDX-License-Identifier: MIT
#include "checker.h"

#include <stdlib.h>

static QfNoteName
above(const QfNoteName root, const int letters, const int semitones)
{
  static const int natural[7] = {0, 2, 4, 5, 7, 9, 11};

  const int letter = (root.letter + letters) % 7;
  const int sound  = natural[root.letter] + root.alter + semitones;
  int       alter  = (sound - natural[letter]) % 12;
  alter            = alter > 6 ? alter - 12 : alter < -6 ? alter + 12 : alter;
  return (QfNoteName){(int8_t)letter, (int8_t)alter};
}

QfNoteName
fifth_above(const QfNoteName root)
{
  return above(root, 4, 7);
}

static bool
is_note(const QfPitch pitch, const QfNoteName name)
{
  return pitch.letter == name.letter && pitch.alter == name.alter;
}

static int
count_note(const QfVoicing* const voicing, const QfNoteName name)
{
  int count = 0;
  for (size_t i = 0; i < QF_SATB; ++i) {
    count += is_note(voicing->pitch[i], name);
  }
  return count;
}

bool
has_note(const QfVoicing* const voicing, const QfNoteName name)
{
  return count_note(voicing, name) > 0;
}

// Source: IBMT 6b, conservative ranges: S C4-G5, A G3-D5, T C3-G4, B E2-D4.
static const int ranges[QF_SATB][2] = {{60, 79}, {55, 74}, {48, 67}, {40, 62}};

const char*
check_chord(const CheckedChord* const chord, const QfVoicing* const voicing)
{
  int midi[QF_SATB];
  for (size_t i = 0; i < QF_SATB; ++i) {
    midi[i]       = qf_pitch_midi(voicing->pitch[i]);
    bool is_known = false;
    for (int k = 0; k < chord->n_notes; ++k) {
      is_known |= is_note(voicing->pitch[i], chord->notes[k]);
    }
    if (!is_known) {
      return "a note is foreign to the chord";
    }
    if (midi[i] < ranges[i][0] || midi[i] > ranges[i][1]) {
      return "a voice leaves its range (IBMT 6b)";
    }
  }

  if (!is_note(voicing->pitch[3], chord->notes[0])) {
    return "the bass is wrong";
  }
  if (midi[0] < midi[1] || midi[1] < midi[2] || midi[2] < midi[3]) {
    return "voices cross (IBMT 10b)";
  }
  if (midi[0] - midi[1] > 12 || midi[1] - midi[2] > 12) {
    return "upper voices lie more than an octave apart (MT21C, IBMT)";
  }
  for (int k = 0; k < chord->n_notes; ++k) {
    const bool may_lack =
      chord->inversion == 0 && chord->notes[k].letter == (chord->root.letter + 4) % 7;
    if (!may_lack && !has_note(voicing, chord->notes[k])) {
      return "a note other than the fifth in root position is missing (IBMT 6b)";
    }
  }
  if (chord->is_dominant_seventh && (count_note(voicing, above(chord->root, 2, 4)) != 1 ||
                                     count_note(voicing, above(chord->root, 6, 10)) != 1)) {
    return "leading tone or seventh is doubled or missing (MT21C, IBMT, OMT)";
  }
  return NULL;
}

/// 8 octave, unison; 5 perfect fifth; 0 anything else
static int
perfect_class(const QfPitch upper, const QfPitch lower)
{
  const int semitones = (qf_pitch_midi(upper) - qf_pitch_midi(lower)) % 12;
  const int letters   = (upper.letter - lower.letter + 7) % 7;
  return semitones == 0 && letters == 0 ? 8 : semitones == 7 && letters == 4 ? 5 : 0;
}

static const char*
check_tendencies(const CheckedChord* const from_chord,
                 const CheckedChord* const to_chord,
                 const QfPitch             from,
                 const QfPitch             to)
{
  const bool is_next = to_chord->root.letter != from_chord->root.letter ||
                       to_chord->root.alter != from_chord->root.alter;
  const int moved = qf_pitch_midi(to) - qf_pitch_midi(from);
  const int steps = qf_pitch_step(to) - qf_pitch_step(from);
  if (!from_chord->is_dominant_seventh || !is_next) {
    return NULL;
  }

  if (is_note(from, above(from_chord->root, 2, 4)) && moved != 0 && !(steps == 1 && moved == 1) &&
      !(steps == 0 && moved == -1 && to_chord->is_dominant_seventh)) {
    return "a leading tone neither rises nor falls to the next seventh (MT21C, OMT2)";
  }
  if (is_note(from, above(from_chord->root, 6, 10)) && moved != 0 && steps != -1) {
    return "a seventh neither falls by step nor holds (MT21C, OMT)";
  }
  return NULL;
}

const char*
check_connection(const CheckedChord* const from_chord,
                 const QfVoicing* const    from,
                 const CheckedChord* const to_chord,
                 const QfVoicing* const    to)
{
  for (size_t a = 0; a < QF_SATB; ++a) {
    const int moved = qf_pitch_midi(to->pitch[a]) - qf_pitch_midi(from->pitch[a]);
    const int steps = qf_pitch_step(to->pitch[a]) - qf_pitch_step(from->pitch[a]);
    if (abs(steps) == 1 && abs(moved) == 3) {
      return "a voice moves by an augmented second (MT21C)";
    }

    const char* const fault = check_tendencies(from_chord, to_chord, from->pitch[a], to->pitch[a]);
    if (fault) {
      return fault;
    }

    for (size_t b = a + 1U; b < QF_SATB; ++b) {
      const int before = perfect_class(from->pitch[a], from->pitch[b]);
      const int after  = perfect_class(to->pitch[a], to->pitch[b]);
      if (moved && before && before == after && !qf_pitch_equals(from->pitch[b], to->pitch[b])) {
        return before == 8 ? "consecutive octaves (MT21C, IBMT 10b)"
                           : "consecutive fifths (MT21C, IBMT 10b)";
      }
    }
    if (a > 0 && (qf_pitch_midi(to->pitch[a]) > qf_pitch_midi(from->pitch[a - 1U]) ||
                  qf_pitch_midi(to->pitch[a - 1U]) < qf_pitch_midi(from->pitch[a]))) {
      return "voices overlap (OMT First species)";
    }
  }
  return NULL;
}
