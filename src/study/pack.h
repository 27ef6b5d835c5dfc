// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_STUDY_PACK_H
#define QUINTFALL_STUDY_PACK_H

#include "quintfall/status.h"

/**
   Pack a text: compressed (RFC 1950) and written in base64 (RFC 4648).

   No key, no lock: it keeps a text from being read at a glance.
   @param[out] packed (transfer full)
*/
QfStatus
pack_text(const char* text, size_t length, char** packed, QfError* error);

/**
   Undo pack_text().

   @param[out] text NUL-terminated (transfer full)
   @return #QF_ERR_BAD_FILE for what was not packed so, #QF_ERR_RANGE beyond 64 MiB.
*/
QfStatus
unpack_text(const char* packed, char** text, size_t* length, QfError* error);

#endif // QUINTFALL_STUDY_PACK_H
