// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_NUMERAL_H
#define QUINTFALL_NUMERAL_H

#include "quintfall/chord.h"
#include "quintfall/key.h"

enum {
  QF_NUMERAL_MAX_TARGETS = 4,
  QF_NUMERAL_MAX_CHANGES = 4,
  QF_NUMERAL_TEXT_SIZE   = 96, ///< Bytes that hold any numeral's text
};

/// How a numeral is headed
typedef enum {
  QF_NUMERAL_ROMAN,      ///< I ... vii, with alteration and quality
  QF_NUMERAL_NEAPOLITAN, ///< N, N6
  QF_NUMERAL_ITALIAN,    ///< It6
  QF_NUMERAL_FRENCH,     ///< Fr43
  QF_NUMERAL_GERMAN,     ///< Ger65
  QF_NUMERAL_SWISS,      ///< Sw43
  QF_NUMERAL_CADENTIAL,  ///< Cad64
} QfNumeralForm;

/// The degree an applied chord is applied to
typedef struct {
  int8_t degree;        ///< 1-7
  int8_t alter;         ///< Against the natural scale of the key it stands in
  bool   is_minor;      ///< Lower case
  bool   is_neapolitan; ///< Written N
} QfTarget;

/// An [add..] or [no..] in brackets
typedef struct {
  int8_t step;     ///< 2, 4, 9 ... as written
  int8_t alter;    ///< Signs written before the step
  bool   is_added; ///< [add..], otherwise [no..]
} QfChange;

/**
   A Roman numeral.

   In minor, degrees 6 and 7 follow RomanText's "cautionary" rule: upper case
   is the natural degree, lower case the raised one, and one superfluous sign
   changes nothing; `alter` holds the resolved alteration against the natural
   scale, so that vii in minor has degree 7, alter +1.

   Source: Tymoczko, Gotham, Cuthbert, Ariza, "The RomanText Format", ISMIR 2019.
*/
typedef struct {
  QfNumeralForm form;
  int8_t        degree;    ///< 1-7: for the special forms, that of the chord's root
  int8_t        alter;     ///< Against the natural scale of the (target's) key
  QfChordKind   kind;      ///< Resolved quality, seventh included
  int8_t        inversion; ///< 0 root position ...
  uint8_t       n_targets; ///< 0 for a chord of the key itself
  uint8_t       n_changes;
  QfTarget      targets[QF_NUMERAL_MAX_TARGETS]; ///< Nearest first: V7/V/ii has V, ii
  QfChange      changes[QF_NUMERAL_MAX_CHANGES];
} QfNumeral;

/**
   Read a numeral in RomanText syntax, in a key of the given mode.

   Accepts both `/o` and U+00F8 for half-diminished, `o` and U+00B0 for
   diminished, `V6/5` and `V65`, `42`, `4/2` and `2`, U+266D, U+266F.
   Sevenths without a sign are diatonic; `V7` is always a dominant seventh.

   @return #QF_OK, or #QF_ERR_BAD_TEXT with the offset and what was expected.
*/
QfStatus
qf_numeral_parse(const char* text, QfMode mode, QfNumeral* result, QfError* error);

/// Write RomanText ASCII ("viio65/V", "ii/o7", "Ger65"); #QF_NUMERAL_TEXT_SIZE bytes
void
qf_numeral_write(const QfNumeral* numeral, QfMode mode, char* buffer, size_t size);

/**
   The parts of a numeral as they are printed: "viiø", "6" over "5", "/V".

   @param[out] head Degree, case, alteration and quality with Unicode signs.
   @param[out] figures Stacked figures from the top, separated by newlines.
   @param[out] tail Changes in brackets and applied target with its slash, or empty.
*/
typedef struct {
  char head[32];
  char figures[16];
  char tail[96];
} QfNumeralParts;

void
qf_numeral_parts(const QfNumeral* numeral, QfMode mode, QfNumeralParts* parts);

/// Say a numeral in words, for accessible names: "five seven of two, first inversion"; 160 bytes
void
qf_numeral_speak(const QfNumeral* numeral, QfMode mode, char* buffer, size_t size);

/// The chord a numeral stands for in a key; #QF_ERR_RANGE beyond four accidentals
QfStatus
qf_numeral_chord(const QfNumeral* numeral, QfKey key, QfChord* result, QfError* error);

/**
   All notes of a numeral, changes carried out, root first.

   @param[out] result Room for QF_CHORD_MAX_NOTES + QF_NUMERAL_MAX_CHANGES notes.
*/
QfStatus
qf_numeral_notes(const QfNumeral* numeral, QfKey key, QfNoteName* result, int* n_notes);

/**
   The key an applied numeral borrows from (the key itself if it is not applied).

   It may have more than seven signs: V/V in C sharp major is applied to G sharp
   major. Such a key is only good for spelling.
*/
QfStatus
qf_numeral_target_key(const QfNumeral* numeral, QfKey key, QfKey* result);

/**
   Numerals that a chord can have in a key, most usual first.

   First what needs no accidental beyond the usual minor ones, then Neapolitan
   and augmented sixths, applied dominants and leading-tone chords of every
   degree that can be tonicized (never one with a diminished triad), mixture.
   In minor, dominant and diminished sevenths are read as applied before the
   raised sixth degree, and the tonic major triad as V/iv unless it is in root
   position. If none of these fits, a dominant of an applied dominant, and at
   last the plain degree with its accidental. Omitted members are not shown.
   Cadential six-four is context, so the caller decides between I64 and Cad64.

   @return Number written, at most `max`.
   Source: references of MT21C "Secondary Dominants", OMT "Applied chords".
*/
size_t
qf_numeral_candidates(QfChord chord, QfKey key, QfNumeral* result, size_t max);

bool
qf_numeral_equals(const QfNumeral* a, const QfNumeral* b);

/// True for V.../X and vii.../X: dominant function applied to a degree
bool
qf_numeral_is_applied_dominant(const QfNumeral* numeral);

/// Function families, for shape and colour
typedef enum {
  QF_FUNCTION_TONIC,
  QF_FUNCTION_PREDOMINANT,
  QF_FUNCTION_DOMINANT,
  QF_FUNCTION_APPLIED,
} QfFunction;

QfFunction
qf_numeral_function(const QfNumeral* numeral);

/// English name, "predominant"
const char*
qf_function_name(QfFunction function);

#endif // QUINTFALL_NUMERAL_H
