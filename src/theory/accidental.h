// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_ACCIDENTAL_H
#define QUINTFALL_SRC_ACCIDENTAL_H

#include "quintfall/status.h"

#include <stdbool.h>
#include <stddef.h>

enum {
  QF_ACCIDENTAL_SIZE = 20, ///< Bytes that hold the longest written accidental
};

/**
   Read a run of sharps, a run of flats or a natural sign.

   Knows `#`, `b` and the Unicode signs U+266D-U+266F, U+1D12A, U+1D12B.

   @param[out] alter Semitones read, 0 if there is no sign.
   @return Bytes read.
*/
size_t
qf_accidental_read(const char* text, int* alter);

/// Write an accidental, nothing for 0; at least #QF_ACCIDENTAL_SIZE bytes
void
qf_accidental_write(int alter, bool unicode, char* buffer, size_t size);

/// Put the offset of a fault into a record that was just filled, and return its status
QfStatus
qf_error_at(QfError* error, size_t offset, QfStatus status);

#endif // QUINTFALL_SRC_ACCIDENTAL_H
