// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_FORMATS_MXL_H
#define QUINTFALL_FORMATS_MXL_H

#include "quintfall/status.h"

#include <stdbool.h>

/// True if data begins as a ZIP archive does
bool
qf_mxl_is(const void* data, size_t length);

/**
   Unpack the score of a compressed MusicXML file.

   @param[out] xml The first rootfile that META-INF/container.xml names (transfer full).
   @return #QF_ERR_BAD_FILE, also for content that grows beyond 256 MiB.
*/
QfStatus
qf_mxl_unpack(const void* data, size_t length, void** xml, size_t* xml_length, QfError* error);

/// Pack a score: mimetype (stored), META-INF/container.xml, score.musicxml (transfer full)
QfStatus
qf_mxl_pack(const char* xml, size_t xml_length, void** data, size_t* length, QfError* error);

#endif // QUINTFALL_FORMATS_MXL_H
