// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_CHORD_H
#define QUINTFALL_CHORD_H

#include "quintfall/interval.h"

enum {
  QF_CHORD_MAX_NOTES = 5,
};

/// Chord qualities; each is a line of a table in src/theory/chord.c
typedef enum {
  QF_CHORD_MAJOR,
  QF_CHORD_MINOR,
  QF_CHORD_DIMINISHED,
  QF_CHORD_AUGMENTED,
  QF_CHORD_SUS2,
  QF_CHORD_SUS4,
  QF_CHORD_DOM7,
  QF_CHORD_MAJ7,
  QF_CHORD_MIN7,
  QF_CHORD_HALF_DIM7,
  QF_CHORD_DIM7,
  QF_CHORD_MIN_MAJ7,
  QF_CHORD_AUG_MAJ7,
  QF_CHORD_AUG7,
  QF_CHORD_DOM7_FLAT5,
  QF_CHORD_DIM_MAJ7,
  QF_CHORD_DOM7_SUS4,
  QF_CHORD_MAJ6,
  QF_CHORD_MIN6,
  QF_CHORD_ADD9,
  QF_CHORD_DOM9,
  QF_CHORD_DOM_MINOR9,
  QF_CHORD_ITALIAN, ///< Members from the raised fourth degree: b6 is the bass in It6
  QF_CHORD_FRENCH,  ///< Root is the second degree
  QF_CHORD_GERMAN,  ///< Root is the raised fourth degree
  QF_CHORD_SWISS,   ///< The German sound spelled for a move to the major six-four; root as German
  QF_CHORD_N_KINDS
} QfChordKind;

/// A chord as a pitch-class structure
typedef struct {
  QfChordKind kind;
  QfNoteName  root;
  int8_t      inversion; ///< Member in the bass: 0 root, 1 third, 2 fifth, 3 seventh, 4 ninth
  uint8_t     omitted;   ///< Bit m set: member m is not sounded (bit 1 third, bit 2 fifth)
} QfChord;

/// Members of a quality, root included: 3-5
int
qf_chord_kind_size(QfChordKind kind);

/// Interval of a member (0 root ...) above the root
QfInterval
qf_chord_kind_member(QfChordKind kind, int member);

/// English name, "half-diminished seventh"
const char*
qf_chord_kind_name(QfChordKind kind);

/// Short identity for files and the command, "half-dim7"
const char*
qf_chord_kind_id(QfChordKind kind);

bool
qf_chord_kind_has_seventh(QfChordKind kind);

/// True for qualities that point at a tonic: dominant sevenths and ninths
bool
qf_chord_kind_is_dominant(QfChordKind kind);

/// Spell one member of a chord; #QF_ERR_RANGE beyond four accidentals
QfStatus
qf_chord_member(QfChord chord, int member, QfNoteName* result);

/// Spell all sounded members, root first; sets their number
QfStatus
qf_chord_notes(QfChord chord, QfNoteName result[QF_CHORD_MAX_NOTES], int* n_notes);

/// Spell the note in the bass
QfStatus
qf_chord_bass(QfChord chord, QfNoteName* result);

/// Member number of a note, or -1 if it is foreign
int
qf_chord_member_of(QfChord chord, QfNoteName note);

/**
   Name the chords a set of spelled notes can be.

   Doublings are ignored. Complete chords come first, then chords without a
   perfect fifth, without another fifth, without a third, and with neither.
   Among equals, triads come before sevenths before the rarer kinds, and root
   position first. The bass sets the inversion. Spelling decides: enharmonic
   neighbours are different notes.

   @param notes Spelled notes, any order; `notes[0]` is the bass.
   @param[out] result Candidates, best first.
   @return Number of candidates written, at most `max`.
*/
size_t
qf_chord_detect(const QfNoteName* notes, size_t n_notes, QfChord* result, size_t max);

/**
   Write a chord symbol: "F#m7b5/A", "C7", "Bb".

   @param unicode Write the Unicode accidentals instead of ASCII.
*/
void
qf_chord_write_symbol(QfChord chord, bool unicode, char* buffer, size_t size);

/// Read a chord symbol as qf_chord_write_symbol() writes it, Unicode signs included
QfStatus
qf_chord_parse_symbol(const char* text, QfChord* result, QfError* error);

#endif // QUINTFALL_CHORD_H
