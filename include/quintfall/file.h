// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_FILE_H
#define QUINTFALL_FILE_H

#include "quintfall/status.h"

/// Read a whole file; #QF_ERR_IO, or #QF_ERR_RANGE beyond 256 MiB
QfStatus
qf_file_read(const char* path, void** data, size_t* length, QfError* error);

/**
   Write a whole file atomically: temporary file in the same folder, fsync, rename.

   A replaced file keeps its permissions, a symbolic link stays one, a file
   marked read-only is refused. A device or pipe is written straight.

   @return #QF_ERR_IO or #QF_ERR_FULL with what the system said; an old file is then untouched
   and no temporary file is left.
*/
QfStatus
qf_file_write(const char* path, const void* data, size_t length, QfError* error);

#endif // QUINTFALL_FILE_H
