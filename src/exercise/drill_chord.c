// SPDX-License-Identifier: MIT
#include "drill_maker.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

/// A quality and the level that brings it
typedef struct {
  QfChordKind kind;
  int         level;
} KindLine;

// common practice: triads before sevenths, usual ones before rare ones.
static const KindLine kinds[] = {
  {QF_CHORD_MAJOR, 1}, {QF_CHORD_MINOR, 1},    {QF_CHORD_DIMINISHED, 2}, {QF_CHORD_AUGMENTED, 2},
  {QF_CHORD_DOM7, 3},  {QF_CHORD_MAJ7, 3},     {QF_CHORD_MIN7, 3},       {QF_CHORD_HALF_DIM7, 4},
  {QF_CHORD_DIM7, 4},  {QF_CHORD_MIN_MAJ7, 5}, {QF_CHORD_AUG_MAJ7, 5},
};

enum {
  N_KINDS          = sizeof(kinds) / sizeof(kinds[0]),
  FLATTEST_ROOT    = -4, ///< On the line of fifths: A flat
  N_ROOTS          = 10, ///< Up to F sharp ... from A flat
  INVERSIONS_FROM  = 5,  ///< Level from which qualities come inverted
  MEMBERS_OF_TRIAD = 3,
  MOST_CHOICES     = 11,
};

/// Kinds of chords of the level, at least from one level on
static size_t
kinds_of_level(const int level, size_t list[N_KINDS])
{
  size_t n = 0;
  for (size_t i = 0; i < N_KINDS; ++i) {
    if (kinds[i].level <= level) {
      list[n++] = i;
    }
  }
  return n;
}

static QfChord
draw_chord(DrillMaker* const maker, const QfChordKind kind, const int n_inversions)
{
  QfChord chord = {.kind = kind};
  qf_note_name_from_fifths(FLATTEST_ROOT + (int)random_below(&maker->random, N_ROOTS), &chord.root);
  chord.inversion = (int8_t)random_below(&maker->random, (uint64_t)n_inversions);
  return chord;
}

/// "minor third, diminished fifth, minor seventh"
static void
describe_members(const QfChordKind kind, char* const buffer, const size_t size)
{
  size_t length = 0;
  for (int m = 1; m < qf_chord_kind_size(kind) && length < size; ++m) {
    char interval[64];
    qf_interval_describe(qf_chord_kind_member(kind, m), interval, sizeof(interval));
    length += (size_t)snprintf(buffer + length, size - length, "%s%s", m > 1 ? ", " : "", interval);
  }
}

QfStatus
make_quality_drill(DrillMaker* const maker)
{
  QfDrill* const drill = maker->drill;
  size_t         list[N_KINDS];
  const char*    names[N_KINDS];
  const size_t   n     = kinds_of_level(drill->level, list);
  const size_t   right = random_below(&maker->random, n);
  for (size_t i = 0; i < n; ++i) {
    names[i] = qf_chord_kind_name(kinds[list[i]].kind);
  }

  const QfChordKind kind  = kinds[list[right]].kind;
  const int         most  = drill->level < INVERSIONS_FROM ? 1 : qf_chord_kind_size(kind);
  const QfChord     chord = draw_chord(maker, kind, most);
  drill->key              = (QfKey){{0, 0}, QF_MAJOR};
  drill_set_choices(maker, names, n, right, MOST_CHOICES);
  drill_add_concept(maker, "quality", qf_chord_kind_id(kind));
  snprintf(drill->question, sizeof(drill->question), "What is the quality of this chord?");

  char members[160];
  char notes[128];
  char root[DRILL_NAME_SIZE];
  describe_members(kind, members, sizeof(members));
  drill_name_chord(maker, chord, notes, sizeof(notes));
  drill_name(maker, chord.root, root);
  const int written =
    snprintf(drill->explanation, sizeof(drill->explanation), "%s on %s: %s. Above its root: %s.",
             qf_chord_kind_name(kind), root, notes, members);
  if (written > 0) {
    drill->explanation[0] = (char)toupper((unsigned char)drill->explanation[0]);
  }
  return drill_set_chord(maker, chord);
}

static const char* const inversion_names[] = {"root position", "first inversion",
                                              "second inversion", "third inversion"};
static const char* const member_names[]    = {"root", "third", "fifth", "seventh"};

/// What a level asks the inversion of
typedef struct {
  QfChordKind first;
  QfChordKind last;
  int         n_inversions;
} InversionLevel;

static const InversionLevel inversion_levels[QF_DRILL_N_LEVELS] = {
  {QF_CHORD_MAJOR, QF_CHORD_MAJOR, 2},    {QF_CHORD_MAJOR, QF_CHORD_MINOR, 3},
  {QF_CHORD_DOM7, QF_CHORD_DOM7, 4},      {QF_CHORD_DOM7, QF_CHORD_MIN7, 4},
  {QF_CHORD_DOM7, QF_CHORD_HALF_DIM7, 4},
};

QfStatus
make_inversion_drill(DrillMaker* const maker)
{
  QfDrill* const              drill = maker->drill;
  const InversionLevel* const level = &inversion_levels[drill->level - 1];
  const unsigned              span  = (unsigned)level->last - (unsigned)level->first + 1U;
  const QfChordKind           kind =
    (QfChordKind)((unsigned)level->first + (unsigned)random_below(&maker->random, span));
  const QfChord chord = draw_chord(maker, kind, level->n_inversions);
  drill->key          = (QfKey){{0, 0}, QF_MAJOR};
  drill_set_choices(maker, inversion_names, (size_t)level->n_inversions, (size_t)chord.inversion,
                    (size_t)level->n_inversions);

  const char member[] = {(char)('0' + chord.inversion), '\0'};
  drill_add_concept(maker, "inversion", member);
  snprintf(drill->question, sizeof(drill->question),
           "You hear this chord: %s. In which position is it?", qf_chord_kind_name(kind));

  QfNoteName bass;
  char       name[DRILL_NAME_SIZE];
  char       notes[128];
  if (qf_chord_bass(chord, &bass)) {
    return QF_ERR_IMPOSSIBLE;
  }
  drill_name(maker, bass, name);
  drill_name_chord(maker, chord, notes, sizeof(notes));
  snprintf(drill->explanation, sizeof(drill->explanation),
           "The chord is %s, and its %s, %s, is in the bass: %s.", notes,
           member_names[chord.inversion], name, inversion_names[chord.inversion]);
  return drill_set_chord(maker, chord);
}
