// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_FORMATS_IMPORT_H
#define QUINTFALL_FORMATS_IMPORT_H

#include "quintfall/formats.h"

/// What a reader may have to leave out or assume; each is a line of a table in import.c
typedef enum {
  QF_REMARK_GRACE,
  QF_REMARK_CUE,
  QF_REMARK_UNPITCHED,
  QF_REMARK_UNPITCHED_PART,
  QF_REMARK_MICROTONE,
  QF_REMARK_RESPELLED,
  QF_REMARK_ROUNDED_TIME,
  QF_REMARK_LOOSE_TIE,
  QF_REMARK_CLEF,
  QF_REMARK_CLEF_CHANGE,
  QF_REMARK_KEY,
  QF_REMARK_KEYS_DIFFER,
  QF_REMARK_MODE,
  QF_REMARK_NO_METRE,
  QF_REMARK_FREE_METRE,
  QF_REMARK_TEMPO,
  QF_REMARK_TEMPO_CHANGE,
  QF_REMARK_ENDING,
  QF_REMARK_FIGURES,
  QF_REMARK_CHORD_SPLIT,
  QF_REMARK_FILLED_BAR,
  QF_REMARK_QUANTISED,
  QF_REMARK_SPELLED,
  QF_REMARK_PERCUSSION,
  QF_REMARK_HANGING_NOTE,
  QF_REMARK_LATE_METRE,
  QF_REMARK_N_KINDS
} QfRemarkKind;

/// How often each happened, and in which measure first
typedef struct {
  size_t counts[QF_REMARK_N_KINDS];
  int    measures[QF_REMARK_N_KINDS];
} QfRemarks;

/// Note that something happened; a negative measure means it is unknown
void
qf_remarks_add(QfRemarks* remarks, QfRemarkKind kind, int measure);

/// Put the remarks into words; does nothing if nobody is interested
QfStatus
qf_remarks_tell(const QfRemarks* remarks, QfImport* import, QfError* error);

/// Copy UTF-8 text, cut between characters, leading and trailing space left out, runs made one
void
qf_copy_text(const char* text, size_t length, char* buffer, size_t size);

/// Name a voice the file does not name: Soprano to Bass among four, otherwise "Voice 2"
void
qf_name_voice(size_t n_voices, size_t index, char name[QF_NAME_SIZE]);

#endif // QUINTFALL_FORMATS_IMPORT_H
