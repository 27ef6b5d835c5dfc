// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_PRACTICE_PRACTICE_IMPL_H
#define QUINTFALL_SRC_PRACTICE_PRACTICE_IMPL_H

#include "quintfall/practice.h"

#include <sqlite3.h>

struct QfPracticeImpl {
  sqlite3* db;
  int      utc_offset_s;
  bool     is_read_only;
};

/// How opening a database ended
typedef enum {
  STORE_OPEN,
  STORE_READ_ONLY, ///< Open, but nothing can be written
  STORE_DAMAGED,   ///< No record, or a damaged one: to be set aside
  STORE_NEWER,     ///< Of a later version
  STORE_REFUSED,   ///< Neither opened nor made
} StoreState;

/// Open a database and make its table if it is new; `db` is NULL unless it is open
StoreState
store_open(const char* path, sqlite3** db, QfError* error);

/// Make the folders a path lies in, for the user alone; what fails shows when the file is opened
void
store_make_folders(const char* path);

/// Rename a damaged database with its journals; the new name is given (transfer full), or NULL
char*
store_set_aside(const char* path);

/// Turn a failure of SQLite into a status with a sentence for the user
QfStatus
store_fail(sqlite3* db, int code, QfError* error);

/// Days since 1970 in the record's own time zone
int64_t
day_of(const QfPractice* practice, int64_t when_s);

#endif // QUINTFALL_SRC_PRACTICE_PRACTICE_IMPL_H
