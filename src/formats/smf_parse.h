// SPDX-License-Identifier: MIT
// What a Standard MIDI File says, before it becomes a score.
#ifndef QUINTFALL_FORMATS_SMF_PARSE_H
#define QUINTFALL_FORMATS_SMF_PARSE_H

#include "import.h"

enum {
  QF_SMF_MAX_TRACKS = 256,
};

typedef struct {
  int64_t  start; ///< Ticks
  int64_t  end;
  uint16_t track;
  uint8_t  channel;
  uint8_t  key;
} QfSmfNote;

/// A time or key signature
typedef struct {
  int64_t at; ///< Ticks
  QfMetre metre;
  QfKey   key;
} QfSmfChange;

typedef struct {
  int          division; ///< Ticks per quarter note
  size_t       n_tracks;
  char         names[QF_SMF_MAX_TRACKS][QF_NAME_SIZE];
  QfSmfNote*   notes; ///< Owned
  size_t       n_notes;
  size_t       notes_capacity;
  QfSmfChange* metres; ///< Owned, in the file's order
  size_t       n_metres;
  size_t       metres_capacity;
  QfSmfChange* keys; ///< Owned, in the file's order
  size_t       n_keys;
  size_t       keys_capacity;
  bool         has_tempo;
  double       tempo; ///< Quarter notes a minute
} QfSmfFile;

/// Collect what a file says; on failure the file is to be cleared all the same
QfStatus
qf_smf_parse(const uint8_t* data,
             size_t         length,
             QfSmfFile*     file,
             QfRemarks*     remarks,
             QfError*       error);

void
qf_smf_file_clear(QfSmfFile* file);

#endif // QUINTFALL_FORMATS_SMF_PARSE_H
