// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_KEY_H
#define QUINTFALL_KEY_H

#include "quintfall/interval.h"

typedef enum { QF_MAJOR, QF_MINOR } QfMode;

/// One of the 30 keys with at most seven sharps or flats
typedef struct {
  QfNoteName tonic;
  QfMode     mode;
} QfKey;

typedef enum {
  QF_SCALE_MAJOR,
  QF_SCALE_NATURAL_MINOR,
  QF_SCALE_HARMONIC_MINOR,
  QF_SCALE_MELODIC_MINOR_UP,
  QF_SCALE_MELODIC_MINOR_DOWN,
  QF_SCALE_IONIAN,
  QF_SCALE_DORIAN,
  QF_SCALE_PHRYGIAN,
  QF_SCALE_LYDIAN,
  QF_SCALE_MIXOLYDIAN,
  QF_SCALE_AEOLIAN,
  QF_SCALE_LOCRIAN,
  QF_SCALE_N_KINDS
} QfScaleKind;

/**
   Read a key: "Eb major", "c# minor", "A", "f#", and RomanText's "Bb:", "g:".

   Without a word an upper-case letter is major and a lower-case one minor.
   @return #QF_OK, #QF_ERR_BAD_TEXT, or #QF_ERR_RANGE for a key with more than
   seven signs, which the message says.
*/
QfStatus
qf_key_parse(const char* text, QfKey* result, QfError* error);

/// Write "Eb major"; at least 16 bytes
void
qf_key_write(QfKey key, char* buffer, size_t size);

/// Write RomanText's "Eb" or "c#" without the colon; at least 8 bytes
void
qf_key_write_short(QfKey key, char* buffer, size_t size);

/// Sharps (positive) or flats (negative) of the signature, -7 ... 7
int
qf_key_fifths(QfKey key);

/// #QF_ERR_RANGE outside -7 ... 7
QfStatus
qf_key_from_fifths(int fifths, QfMode mode, QfKey* result);

/// Accidental the signature puts on a letter, in semitones
int
qf_key_alter_of(QfKey key, int letter);

/// Relative major of a minor key and the other way round
QfKey
qf_key_relative(QfKey key);

/// Parallel key; #QF_ERR_RANGE if it has more than seven signs
QfStatus
qf_key_parallel(QfKey key, QfKey* result);

bool
qf_key_equals(QfKey a, QfKey b);

/**
   The natural scale degree, 1-7, of a key (natural minor in minor).

   @param alter Added to the degree, in semitones.
*/
QfStatus
qf_key_degree(QfKey key, int degree, int alter, QfNoteName* result);

/// Degree 1-7 of a note and its alteration against the natural scale
void
qf_key_degree_of(QfKey key, QfNoteName note, int* degree, int* alter);

/**
   Spell a sounding key of the keyboard as the notes of a key are: its scale, then
   the nearest chromatic notes on the line of fifths.

   Major reaches from the lowered third to the raised fifth, minor from the lowered
   second to the raised fourth, so that applied leading tones are raised notes.

   @param midi MIDI key; only its place in the octave matters.
*/
QfNoteName
qf_key_spell(QfKey key, int midi);

/// True if the note belongs to the key's signature
bool
qf_key_has_note(QfKey key, QfNoteName note);

/// The seven notes of a scale on a tonic
QfStatus
qf_scale_notes(QfNoteName tonic, QfScaleKind kind, QfNoteName result[7]);

/// English name, "harmonic minor"
const char*
qf_scale_name(QfScaleKind kind);

#endif // QUINTFALL_KEY_H
