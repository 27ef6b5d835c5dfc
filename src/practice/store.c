// SPDX-License-Identifier: MIT
#include "practice_impl.h"

#include "quintfall/text.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum {
  APPLICATION_ID  = 0x51465052, ///< "QFPR", marks the file as a practice record
  BUSY_TIMEOUT_MS = 2000,
  MAX_SET_ASIDE   = 1000,
};

// What is known of a concept follows from its attempts alone, so nothing else is stored.
static const char schema[] =
  "BEGIN IMMEDIATE;"
  "CREATE TABLE IF NOT EXISTS attempts ("
  "  id INTEGER PRIMARY KEY,"
  "  concept TEXT NOT NULL,"
  "  correct INTEGER NOT NULL CHECK (correct >= 0),"
  "  asked INTEGER NOT NULL CHECK (asked >= 1 AND asked >= correct),"
  "  at INTEGER NOT NULL) STRICT;"
  "CREATE INDEX IF NOT EXISTS attempts_by_concept ON attempts (concept, at, id, correct, asked);"
  "PRAGMA application_id = 0x51465052;"
  "PRAGMA user_version = 1;"
  "COMMIT;";

QfStatus
store_fail(sqlite3* const db, const int code, QfError* const error)
{
  switch (code & 0xFF) {
    case SQLITE_NOMEM:
      return qf_error_set(error, QF_ERR_NO_MEM, "out of memory");
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return qf_error_set(error, QF_ERR_IO,
                          "another program is using the practice record; nothing was changed, try "
                          "again in a moment");
    case SQLITE_FULL:
      return qf_error_set(error, QF_ERR_IO,
                          "the disk is full; nothing was changed in the practice record; make room "
                          "and try again");
    case SQLITE_READONLY:
    case SQLITE_PERM:
      return qf_error_set(error, QF_ERR_READ_ONLY,
                          "the practice record can be read but not changed: its file or folder is "
                          "protected");
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
      return qf_error_set(
        error, QF_ERR_BAD_FILE,
        "the practice record is damaged; open it again to have it set aside and a "
        "new one begun");
    default:
      return qf_error_set(error, QF_ERR_IO,
                          "the practice record cannot be read or written: %s; check the disk and "
                          "the folder",
                          db ? sqlite3_errmsg(db) : sqlite3_errstr(code));
  }
}

/// One whole number that a statement gives
static int
ask_number(sqlite3* const db, const char* const sql, int64_t* const result)
{
  sqlite3_stmt* statement = NULL;
  int           code      = sqlite3_prepare_v2(db, sql, -1, &statement, NULL);
  if (!code) {
    code    = sqlite3_step(statement);
    *result = code == SQLITE_ROW ? sqlite3_column_int64(statement, 0) : 0;
    code    = code == SQLITE_ROW || code == SQLITE_DONE ? SQLITE_OK : code;
  }
  sqlite3_finalize(statement);
  return code;
}

/// SQLite's own look at the file: one row "ok" if it is sound
static int
check_soundness(sqlite3* const db)
{
  sqlite3_stmt* statement = NULL;
  int           code      = sqlite3_prepare_v2(db, "PRAGMA quick_check(1)", -1, &statement, NULL);
  if (!code) {
    code = sqlite3_step(statement);
    if (code == SQLITE_ROW) {
      const char* const text = (const char*)sqlite3_column_text(statement, 0);
      code                   = text && !strcmp(text, "ok") ? SQLITE_OK : SQLITE_CORRUPT;
    }
  }
  sqlite3_finalize(statement);
  return code;
}

static bool
is_damage(const int code)
{
  return (code & 0xFF) == SQLITE_CORRUPT || (code & 0xFF) == SQLITE_NOTADB;
}

/// Find out what a file is, and make it a record if it is empty
static int
prepare(sqlite3* const db, StoreState* const state)
{
  int64_t application = 0;
  int64_t version     = 0;
  int64_t n_tables    = 0;
  int     code        = ask_number(db, "PRAGMA application_id", &application);
  code                = code ? code : ask_number(db, "PRAGMA user_version", &version);
  code = code ? code : ask_number(db, "SELECT count(*) FROM sqlite_schema", &n_tables);
  code = code ? code : check_soundness(db);
  if (code) {
    return code;
  }

  if (n_tables && application != APPLICATION_ID) {
    return SQLITE_NOTADB;
  }
  if (version > QF_PRACTICE_VERSION) {
    *state = STORE_NEWER;
    return SQLITE_OK;
  }
  if (sqlite3_db_readonly(db, "main") == 1) {
    *state = STORE_READ_ONLY;
    return n_tables ? SQLITE_OK : SQLITE_READONLY;
  }
  *state = STORE_OPEN;
  code = sqlite3_exec(db, "PRAGMA journal_mode = WAL; PRAGMA secure_delete = ON", NULL, NULL, NULL);
  // A record that is there is not written to for nothing.
  return code || version == QF_PRACTICE_VERSION ? code : sqlite3_exec(db, schema, NULL, NULL, NULL);
}

/// Open with certain flags; on failure nothing stays open
static int
open_with(const char* const path, const int flags, sqlite3** const db, StoreState* const state)
{
  int code = sqlite3_open_v2(path, db, flags | SQLITE_OPEN_NOMUTEX, NULL);
  if (!code) {
    sqlite3_busy_timeout(*db, BUSY_TIMEOUT_MS);
    code = prepare(*db, state);
  }
  if (code || *state == STORE_NEWER) {
    sqlite3_close(*db);
    *db = NULL;
  }
  return code;
}

/// Open what may not even have its journals beside it, as it lies there
static int
open_unchanging(const char* const path, sqlite3** const db, StoreState* const state)
{
  QfText uri = {0};
  qf_text_add(&uri, "file:");
  for (const char* c = path; *c; ++c) {
    qf_text_addf(&uri, strchr("%?#", *c) ? "%%%02X" : "%c", (unsigned char)*c);
  }
  qf_text_add(&uri, "?immutable=1");
  const int code = uri.failed
                     ? SQLITE_NOMEM
                     : open_with(uri.data, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, db, state);
  qf_text_free(&uri);
  return code;
}

StoreState
store_open(const char* const path, sqlite3** const db, QfError* const error)
{
  StoreState state = STORE_REFUSED;
  int        code  = open_with(path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, db, &state);
  const int  kind  = code & 0xFF;
  if (!access(path, R_OK) &&
      (kind == SQLITE_READONLY || kind == SQLITE_CANTOPEN || kind == SQLITE_PERM)) {
    code = open_unchanging(path, db, &state);
  }
  if (!code) {
    return state;
  }
  if (is_damage(code)) {
    return STORE_DAMAGED;
  }
  store_fail(NULL, code, error);
  return STORE_REFUSED;
}

void
store_make_folders(const char* const path)
{
  char* const folder = strdup(path);
  for (char* at = folder; at && (at = strchr(at + 1, '/'));) {
    *at = '\0';
    mkdir(folder, S_IRWXU);
    *at = '/';
  }
  free(folder);
}

char*
store_set_aside(const char* const path)
{
  static const char* const journals[] = {"-wal", "-shm"};
  for (int n = 1; n <= MAX_SET_ASIDE; ++n) {
    QfText name = {0};
    qf_text_addf(&name, n == 1 ? "%s.damaged" : "%s.damaged-%d", path, n);
    if (name.failed) {
      return NULL;
    }
    // link() never replaces a file that is there, as rename() would.
    if (!link(path, name.data) && !unlink(path)) {
      for (size_t i = 0; i < sizeof(journals) / sizeof(journals[0]); ++i) {
        QfText from = {0};
        QfText to   = {0};
        qf_text_addf(&from, "%s%s", path, journals[i]);
        qf_text_addf(&to, "%s%s", name.data, journals[i]);
        if (!from.failed && !to.failed) {
          rename(from.data, to.data);
        }
        qf_text_free(&from);
        qf_text_free(&to);
      }
      return qf_text_take(&name);
    }
    const bool is_taken = errno == EEXIST;
    qf_text_free(&name);
    if (!is_taken) {
      return NULL;
    }
  }
  return NULL;
}
