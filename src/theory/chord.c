// SPDX-License-Identifier: MIT
#include "chord_shapes.h"

// Steps spell the member, semitones sound it; all above the root.
// Source: Open Music Theory, "Triads and seventh chords", "Chord symbols", "Altered subdominants"
// (augmented sixths); suspended, sixth and ninth chords are common practice.
static const QfChordShape shapes[QF_CHORD_N_KINDS] = {
  [QF_CHORD_MAJOR]      = {"major", "", "major triad", 3, {{0, 0}, {2, 4}, {4, 7}}},
  [QF_CHORD_MINOR]      = {"minor", "m", "minor triad", 3, {{0, 0}, {2, 3}, {4, 7}}},
  [QF_CHORD_DIMINISHED] = {"dim", "dim", "diminished triad", 3, {{0, 0}, {2, 3}, {4, 6}}},
  [QF_CHORD_AUGMENTED]  = {"aug", "aug", "augmented triad", 3, {{0, 0}, {2, 4}, {4, 8}}},
  [QF_CHORD_SUS2]       = {"sus2", "sus2", "suspended second", 3, {{0, 0}, {1, 2}, {4, 7}}},
  [QF_CHORD_SUS4]       = {"sus4", "sus4", "suspended fourth", 3, {{0, 0}, {3, 5}, {4, 7}}},
  [QF_CHORD_DOM7]       = {"dom7", "7", "dominant seventh", 4, {{0, 0}, {2, 4}, {4, 7}, {6, 10}}},
  [QF_CHORD_MAJ7]       = {"maj7", "maj7", "major seventh", 4, {{0, 0}, {2, 4}, {4, 7}, {6, 11}}},
  [QF_CHORD_MIN7]       = {"min7", "m7", "minor seventh", 4, {{0, 0}, {2, 3}, {4, 7}, {6, 10}}},
  [QF_CHORD_HALF_DIM7] =
    {"half-dim7", "m7b5", "half-diminished seventh", 4, {{0, 0}, {2, 3}, {4, 6}, {6, 10}}},
  [QF_CHORD_DIM7] = {"dim7", "dim7", "diminished seventh", 4, {{0, 0}, {2, 3}, {4, 6}, {6, 9}}},
  [QF_CHORD_MIN_MAJ7] =
    {"min-maj7", "mMaj7", "minor-major seventh", 4, {{0, 0}, {2, 3}, {4, 7}, {6, 11}}},
  [QF_CHORD_AUG_MAJ7] =
    {"aug-maj7", "maj7#5", "augmented major seventh", 4, {{0, 0}, {2, 4}, {4, 8}, {6, 11}}},
  [QF_CHORD_AUG7] =
    {"aug7", "7#5", "augmented dominant seventh", 4, {{0, 0}, {2, 4}, {4, 8}, {6, 10}}},
  [QF_CHORD_DOM7_FLAT5] =
    {"dom7-flat5", "7b5", "dominant seventh flat five", 4, {{0, 0}, {2, 4}, {4, 6}, {6, 10}}},
  [QF_CHORD_DIM_MAJ7] =
    {"dim-maj7", "dimMaj7", "diminished major seventh", 4, {{0, 0}, {2, 3}, {4, 6}, {6, 11}}},
  [QF_CHORD_DOM7_SUS4] = {"dom7-sus4",
                          "7sus4",
                          "dominant seventh suspended fourth",
                          4,
                          {{0, 0}, {3, 5}, {4, 7}, {6, 10}}},
  [QF_CHORD_MAJ6]      = {"maj6", "6", "major sixth", 4, {{0, 0}, {2, 4}, {4, 7}, {5, 9}}},
  [QF_CHORD_MIN6]      = {"min6", "m6", "minor sixth", 4, {{0, 0}, {2, 3}, {4, 7}, {5, 9}}},
  [QF_CHORD_ADD9] = {"add9", "add9", "major added ninth", 4, {{0, 0}, {2, 4}, {4, 7}, {8, 14}}},
  [QF_CHORD_DOM9] = {"dom9", "9", "dominant ninth", 5, {{0, 0}, {2, 4}, {4, 7}, {6, 10}, {8, 14}}},
  [QF_CHORD_DOM_MINOR9] =
    {"dom-min9", "7b9", "dominant minor ninth", 5, {{0, 0}, {2, 4}, {4, 7}, {6, 10}, {8, 13}}},
  [QF_CHORD_ITALIAN] = {"italian", "(It)", "Italian augmented sixth", 3, {{0, 0}, {2, 2}, {4, 6}}},
  [QF_CHORD_FRENCH] =
    {"french", "(Fr)", "French augmented sixth", 4, {{0, 0}, {2, 4}, {4, 6}, {6, 10}}},
  [QF_CHORD_GERMAN] =
    {"german", "(Ger)", "German augmented sixth", 4, {{0, 0}, {2, 2}, {4, 6}, {6, 9}}},
  [QF_CHORD_SWISS] =
    {"swiss", "(Sw)", "respelled German augmented sixth", 4, {{0, 0}, {2, 2}, {4, 6}, {5, 9}}},
};

const QfChordShape*
qf_chord_shape(const QfChordKind kind)
{
  return &shapes[kind];
}

int
qf_chord_kind_size(const QfChordKind kind)
{
  return shapes[kind].size;
}

QfInterval
qf_chord_kind_member(const QfChordKind kind, const int member)
{
  const QfChordMember m = shapes[kind].members[member];
  return (QfInterval){m.steps, m.semitones};
}

const char*
qf_chord_kind_name(const QfChordKind kind)
{
  return shapes[kind].name;
}

const char*
qf_chord_kind_id(const QfChordKind kind)
{
  return shapes[kind].id;
}

bool
qf_chord_kind_has_seventh(const QfChordKind kind)
{
  return shapes[kind].size >= 4 && shapes[kind].members[3].steps == 6;
}

bool
qf_chord_kind_is_dominant(const QfChordKind kind)
{
  switch (kind) {
    case QF_CHORD_DOM7:
    case QF_CHORD_AUG7:
    case QF_CHORD_DOM7_FLAT5:
    case QF_CHORD_DOM7_SUS4:
    case QF_CHORD_DOM9:
    case QF_CHORD_DOM_MINOR9:
      return true;
    default:
      return false;
  }
}

QfStatus
qf_chord_member(const QfChord chord, const int member, QfNoteName* const result)
{
  if (member < 0 || member >= qf_chord_kind_size(chord.kind)) {
    return QF_ERR_RANGE;
  }
  return qf_note_name_transpose(chord.root, qf_chord_kind_member(chord.kind, member), result);
}

QfStatus
qf_chord_notes(const QfChord chord, QfNoteName result[QF_CHORD_MAX_NOTES], int* const n_notes)
{
  QfNoteName notes[QF_CHORD_MAX_NOTES];
  int        n = 0;
  for (int m = 0; m < qf_chord_kind_size(chord.kind); ++m) {
    if (chord.omitted & (1U << m)) {
      continue;
    }
    const QfStatus st = qf_chord_member(chord, m, &notes[n]);
    if (st) {
      return st;
    }
    ++n;
  }

  for (int i = 0; i < n; ++i) {
    result[i] = notes[i];
  }
  *n_notes = n;
  return QF_OK;
}

QfStatus
qf_chord_bass(const QfChord chord, QfNoteName* const result)
{
  return qf_chord_member(chord, chord.inversion, result);
}

int
qf_chord_member_of(const QfChord chord, const QfNoteName note)
{
  // On the line of fifths a semitone is seven fifths up and a step twelve down, so that every
  // spelling has a place of its own.
  const QfChordShape* const shape  = &shapes[chord.kind];
  const int                 fifths = qf_note_name_fifths(note) - qf_note_name_fifths(chord.root);
  for (int m = 0; m < shape->size; ++m) {
    if (7 * shape->members[m].semitones - 12 * shape->members[m].steps == fifths) {
      return m;
    }
  }
  return -1;
}
