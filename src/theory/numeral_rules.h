// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_NUMERAL_RULES_H
#define QUINTFALL_SRC_NUMERAL_RULES_H

#include "quintfall/numeral.h"

/// A chord quality as a numeral spells it: triad by case and sign, seventh by sign
typedef struct {
  QfChordKind kind;
  QfChordKind triad;
  int8_t      seventh; ///< Semitones above the root, 0 for a triad
} QfNumeralQuality;

/// The triad and seventh of a kind, or NULL if no numeral stands for it directly
const QfNumeralQuality*
qf_numeral_quality(QfChordKind kind);

/// The kind with a triad and a seventh, or NULL
const QfNumeralQuality*
qf_numeral_quality_find(QfChordKind triad, int seventh);

/// True if a kind's numeral is written in lower case
bool
qf_numeral_is_lower(QfChordKind kind);

/// Mode of the key a numeral's own degree is counted in
QfMode
qf_numeral_local_mode(const QfNumeral* numeral, QfMode mode);

/// Alteration meant by the signs before a numeral ("cautionary" in minor)
int
qf_numeral_alter_meant(int degree, bool is_lower, int signs, QfMode mode);

/// Signs to write for an alteration: inverse of qf_numeral_alter_meant()
int
qf_numeral_alter_shown(int degree, bool is_lower, int alter, QfMode mode);

/**
   Semitones from a numeral's root up to a diatonic step, 1-13.

   For a root altered by a sign the step is counted from the plain degree, so
   that bVII7 has the minor seventh of VII.
*/
int
qf_numeral_diatonic(int degree, int alter, QfMode mode, int step);

/// Seventh of a numeral that has no seventh sign
int
qf_numeral_plain_seventh(int degree, int alter, QfChordKind triad, QfMode mode);

/// One position of the chord named by an augmented sixth's figures
typedef struct {
  QfNumeralForm form;
  const char*   name;
  QfChordKind   kind;
  int8_t        degree;     ///< Of the root
  int8_t        alter;      ///< Of the root, in either mode
  const char*   figures[4]; ///< By inversion, NULL where there is none
  int8_t        usual;      ///< Inversion that the bare name means
} QfSixthForm;

/// The line of a form, or NULL if it is no augmented sixth
const QfSixthForm*
qf_numeral_sixth(QfNumeralForm form);

/// True for a dominant with a ninth
bool
qf_numeral_has_ninth(QfChordKind kind);

/// Mode of the key that a target's degree is counted in
QfMode
qf_numeral_outer_mode(const QfNumeral* numeral, int target, QfMode mode);

/// Append to a NUL-terminated string, cut to its size
void
qf_numeral_append(char* buffer, size_t size, const char* text);

/// The scale degree above which a chord is applied, resolved against a key
QfStatus
qf_target_key(const QfTarget* target, QfKey key, QfKey* result);

#endif // QUINTFALL_SRC_NUMERAL_RULES_H
