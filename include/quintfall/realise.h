// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_REALISE_H
#define QUINTFALL_REALISE_H

#include "quintfall/numeral.h"
#include "quintfall/score.h"

enum {
  QF_SATB = 4, ///< Voices of a realisation, soprano first
};

/// One chord to be written
typedef struct {
  QfKey     key;
  QfNumeral numeral;
  QfTime    start;
  QfTime    duration;
} QfLink;

typedef struct {
  QfPitch pitch[QF_SATB]; ///< Soprano, alto, tenor, bass
} QfVoicing;

/// A note that must be kept
typedef struct {
  size_t  link;
  size_t  voice; ///< 0 soprano ... 3 bass
  QfPitch pitch;
} QfKept;

typedef struct {
  const QfVoicing* before; ///< Voicing to connect from, or NULL
  const QfVoicing* after;  ///< Voicing to connect to, or NULL
  const QfKept*    kept;
  size_t           n_kept;
} QfRealiseOptions;

/**
   Write links in four parts: close, smooth block chords.

   Sevenths fall, leading tones rise (or fall a semitone to the next seventh in
   a chain of dominant sevenths), no parallel fifths or octaves, ranges kept,
   root-position sevenths complete or without fifth, whichever is smoother.

   @param[out] result Array of `n_links` voicings.
   @return #QF_OK; #QF_ERR_IMPOSSIBLE with the link and the givens that clash.
   Rule: MT21C "Voice Leading Seventh Chords"; ranges IBMT 6b.
*/
QfStatus
qf_realise(const QfLink*    links,
           size_t           n_links,
           QfRealiseOptions options,
           QfVoicing*       result,
           QfError*         error);

/// A chain of numerals read from text
typedef struct {
  QfLink* links; ///< Owned
  size_t  n_links;
  QfKey   key; ///< Of the first link
  QfMetre metre;
  QfTime  pickup;
} QfLinks;

/**
   Read a chain: "A: vi V7/ii | ii V7 I(2)".

   Numerals in RomanText syntax separated by blanks; `Key:` changes the key; `|`
   ends a bar; a number in parentheses is a length in beats, otherwise the
   chords of a bar share its beats evenly as far as beats go, or last a beat each.
   A first bar shorter than the metre followed by `||:` is not special: give a
   pickup by lengths, "V7(1) | I(3)" in 3/4.

   @param key Key until the text names one; NULL if the text must.
   @return #QF_OK or #QF_ERR_BAD_TEXT with offset and what was expected.
*/
QfStatus
qf_links_parse(const char* text, const QfKey* key, QfMetre metre, QfLinks* result, QfError* error);

void
qf_links_clear(QfLinks* links);

/// Write voicings into the first four voices of a score; bars are appended as needed
QfStatus
qf_realise_into(QfScore* score, const QfLink* links, size_t n_links, const QfVoicing* voicings);

#endif // QUINTFALL_REALISE_H
