// SPDX-License-Identifier: MIT
#include "chord_shapes.h"

#include <stddef.h>

enum {
  THIRD = 1 << 1,
  FIFTH = 1 << 2,
  // Each note can be the root of every kind
  MAX_FOUND = QF_CHORD_MAX_NOTES * QF_CHORD_N_KINDS,
};

// Common practice: what a reader tries first. Kinds of equal rank are told apart by the bass: C D G
// is Csus2, G C D is Gsus4.
static const struct {
  QfChordKind kind;
  int8_t      rank;
} usual_first[] = {
  {QF_CHORD_MAJOR, 0},     {QF_CHORD_MINOR, 1},       {QF_CHORD_DIMINISHED, 2},
  {QF_CHORD_AUGMENTED, 3}, {QF_CHORD_DOM7, 4},        {QF_CHORD_MIN7, 5},
  {QF_CHORD_HALF_DIM7, 6}, {QF_CHORD_DIM7, 7},        {QF_CHORD_MAJ7, 8},
  {QF_CHORD_ITALIAN, 9},   {QF_CHORD_GERMAN, 10},     {QF_CHORD_FRENCH, 11},
  {QF_CHORD_SWISS, 12},    {QF_CHORD_MIN_MAJ7, 13},   {QF_CHORD_AUG7, 14},
  {QF_CHORD_AUG_MAJ7, 15}, {QF_CHORD_DOM7_FLAT5, 16}, {QF_CHORD_DIM_MAJ7, 17},
  {QF_CHORD_DOM9, 18},     {QF_CHORD_DOM_MINOR9, 19}, {QF_CHORD_SUS4, 20},
  {QF_CHORD_SUS2, 20},     {QF_CHORD_DOM7_SUS4, 21},  {QF_CHORD_MAJ6, 22},
  {QF_CHORD_MIN6, 23},     {QF_CHORD_ADD9, 24},
};

typedef struct {
  QfNoteName notes[QF_CHORD_MAX_NOTES];
  size_t     n_notes;
} NoteSet;

typedef struct {
  QfChord chord;
  int     rank; ///< The smaller the better
} Found;

/// Drop doublings; false if more notes remain than any chord has
static bool
gather(const QfNoteName* const notes, const size_t n_notes, NoteSet* const set)
{
  set->n_notes = 0;
  for (size_t i = 0; i < n_notes; ++i) {
    bool is_known = false;
    for (size_t j = 0; j < set->n_notes; ++j) {
      is_known = is_known || qf_note_name_equals(set->notes[j], notes[i]);
    }
    if (is_known) {
      continue;
    }
    if (set->n_notes == QF_CHORD_MAX_NOTES) {
      return false;
    }
    set->notes[set->n_notes++] = notes[i];
  }
  return set->n_notes > 0;
}

/// Only chords built of thirds stay recognisable with a member missing
static bool
is_tertian(const QfChordKind kind)
{
  const bool is_altered_sixth = kind == QF_CHORD_ITALIAN || kind == QF_CHORD_FRENCH ||
                                kind == QF_CHORD_GERMAN || kind == QF_CHORD_SWISS;
  return !is_altered_sixth && qf_chord_kind_member(kind, 1).steps == 2 &&
         (qf_chord_kind_size(kind) == 3 || qf_chord_kind_has_seventh(kind));
}

/// How far a chord with these members missing is from complete; negative if it says too little
static int
incompleteness(const QfChordKind kind, const unsigned omitted)
{
  if (!omitted) {
    return 0;
  }
  if (!is_tertian(kind) || (omitted & ~(unsigned)(THIRD | FIFTH))) {
    return -1;
  }

  const bool has_perfect_fifth = qf_chord_kind_member(kind, 2).semitones == 7;
  if (omitted == FIFTH) {
    return has_perfect_fifth ? 1 : 2;
  }
  if (omitted == THIRD) {
    return has_perfect_fifth ? 3 : 4;
  }
  return has_perfect_fifth ? 5 : -1;
}

/// Members of a chord that are not in the set; all bits set if a note of the set is foreign
static unsigned
missing_members(const QfChord chord, const NoteSet* const set)
{
  unsigned present = 0;
  for (size_t i = 0; i < set->n_notes; ++i) {
    const int member = qf_chord_member_of(chord, set->notes[i]);
    if (member < 0) {
      return ~0U;
    }
    present |= 1U << member;
  }
  return ((1U << qf_chord_kind_size(chord.kind)) - 1U) & ~present;
}

static size_t
insert_by_rank(Found* const found, size_t n_found, const Found one)
{
  size_t i = n_found;
  while (i > 0 && found[i - 1].rank > one.rank) {
    found[i] = found[i - 1];
    --i;
  }
  found[i] = one;
  return n_found + 1U;
}

size_t
qf_chord_detect(const QfNoteName* const notes,
                const size_t            n_notes,
                QfChord* const          result,
                const size_t            max)
{
  NoteSet set = {0};
  if (!gather(notes, n_notes, &set)) {
    return 0;
  }

  const int n_kinds = (int)(sizeof(usual_first) / sizeof(usual_first[0]));
  Found     found[MAX_FOUND];
  size_t    n_found = 0;
  for (int k = 0; k < n_kinds; ++k) {
    for (size_t r = 0; r < set.n_notes; ++r) {
      QfChord        chord   = {usual_first[k].kind, set.notes[r], 0, 0};
      const unsigned missing = missing_members(chord, &set);
      const int      lack    = missing == ~0U ? -1 : incompleteness(chord.kind, missing);
      if (lack < 0) {
        continue;
      }

      chord.inversion = (int8_t)qf_chord_member_of(chord, notes[0]);
      chord.omitted   = (uint8_t)missing;
      const int rank =
        (lack * n_kinds + usual_first[k].rank) * QF_CHORD_MAX_NOTES + chord.inversion;
      n_found = insert_by_rank(found, n_found, (Found){chord, rank});
    }
  }

  const size_t n_written = n_found < max ? n_found : max;
  for (size_t i = 0; i < n_written; ++i) {
    result[i] = found[i].chord;
  }
  return n_written;
}
