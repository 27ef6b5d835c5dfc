// SPDX-License-Identifier: MIT
// What the text of a numeral says, before the key gives it its meaning.
#ifndef QUINTFALL_SRC_NUMERAL_READING_H
#define QUINTFALL_SRC_NUMERAL_READING_H

#include "quintfall/numeral.h"

enum { MAX_NUMERAL_FIGURES = 8 };

/// Text being read, and where complaints go
typedef struct {
  const char* text;
  size_t      at;
  QfError*    error;
} NumeralReader;

typedef enum { HEAD_ROMAN, HEAD_NEAPOLITAN, HEAD_CADENTIAL, HEAD_SIXTH } NumeralHeadType;

typedef struct {
  NumeralHeadType type;
  QfNumeralForm   form;
  int             degree;
  bool            is_lower;
  int             signs;
} NumeralHead;

/// What stands between a numeral's head and its target
typedef struct {
  bool     is_half;
  bool     is_diminished;
  bool     is_augmented;
  bool     has_major_sign; ///< maj, M
  bool     has_minor_sign; ///< d, dom, m, min
  char     figures[MAX_NUMERAL_FIGURES + 1];
  int      n_figures;
  uint8_t  n_changes;
  QfChange changes[QF_NUMERAL_MAX_CHANGES];
  bool     replaces[QF_NUMERAL_MAX_CHANGES]; ///< [b9], [#5]: neither add nor no
} NumeralBody;

/// Say what was expected at an offset of the text
QfStatus
qf_numeral_fault(const NumeralReader* reader, size_t offset, const char* expected);

/// Make the numeral that was read, but for its targets, in the mode it is counted in
QfStatus
qf_numeral_build(const NumeralReader* reader,
                 const NumeralHead*   head,
                 const NumeralBody*   body,
                 QfMode               mode,
                 QfNumeral*           numeral);

#endif // QUINTFALL_SRC_NUMERAL_READING_H
