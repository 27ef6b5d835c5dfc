// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PARTWRITING_SONORITY_H
#define QUINTFALL_PARTWRITING_SONORITY_H

#include "quintfall/realise.h"

enum {
  COST_NEVER = 1 << 20, ///< More than any sum of costs of one chord or connection
};

/// Where a tone has to go when the harmony changes
typedef enum {
  TENDENCY_NONE,
  TENDENCY_UP,   ///< Up a minor second: leading tones
  TENDENCY_DOWN, ///< Down a step, or held: sevenths, ninths, fourths
} Tendency;

/// What part-writing has to know of one member of a chord
typedef struct {
  QfNoteName name;
  int8_t     member; ///< 0 root, 1 third ... of a chord in thirds
  Tendency   tendency;
  bool       is_free;      ///< The tendency is a habit (cadential six-four), not a duty
  int        doubling;     ///< Cost of each further voice on it
  int        omission;     ///< Cost of leaving it out
  int        omission_lax; ///< The same when rules are relaxed
} Tone;

/// A chord as part-writing sees it
typedef struct {
  QfNoteName root;
  int        n_tones;
  Tone       tones[QF_CHORD_MAX_NOTES];
  int        bass;    ///< Index of the tone in the bass, or -1 if any may be
  int        third;   ///< Indices of tones, or -1
  int        fifth;   ///< The same
  int        seventh; ///< The same
  int        leading; ///< Of a dominant's leading tone, or -1
  QfNoteName tonic;   ///< Where the leading tone leads, if there is one

  QfChordKind   kind;
  int8_t        inversion;
  bool          is_triad;   ///< Major, minor, diminished or augmented
  uint8_t       complete;   ///< Number of members a complete chord has
  QfNumeralForm form;       ///< #QF_NUMERAL_ROMAN where no numeral is known
  int8_t        degree;     ///< Of the root in the key it is taken from, or 0
  bool          is_applied; ///< To another degree
} Sonority;

/// True for Italian, French, German and Swiss sixths
bool
is_augmented_sixth(QfChordKind kind);

/// The tones of a numeral's chord; #QF_ERR_RANGE beyond four accidentals
QfStatus
sonority_of_numeral(const QfNumeral* numeral, QfKey key, Sonority* result, QfError* error);

/// The tones of a chord that was written by somebody else, highest first, at most five
Sonority
sonority_of_pitches(const QfPitch* pitches, size_t n_pitches, QfKey key);

#endif // QUINTFALL_PARTWRITING_SONORITY_H
