// SPDX-License-Identifier: MIT
#include "practice_impl.h"

#include "quintfall/text.h"

#include <stdlib.h>
#include <string.h>

enum {
  SECONDS_A_DAY = 86400,
  MAX_ASKED     = 1000000,
};

// The year 9999 is the last that is written with four digits.
static const int64_t latest_s = INT64_C(253402300799);

int64_t
day_of(const QfPractice* const practice, const int64_t when_s)
{
  const int64_t local = when_s + practice->utc_offset_s;
  const int64_t day   = local / SECONDS_A_DAY;
  return local % SECONDS_A_DAY < 0 ? day - 1 : day;
}

/// Put a damaged record aside and begin a new one
static StoreState
begin_anew(const char* const path, sqlite3** const db, QfText* const remark, QfError* const error)
{
  char* const aside = store_set_aside(path);
  if (!aside) {
    qf_error_set(error, QF_ERR_IO,
                 "\"%s\" is damaged or no practice record, and could not be set aside; move it "
                 "elsewhere",
                 path);
    return STORE_REFUSED;
  }
  qf_text_addf(remark,
               "The practice record was damaged or was none. It was kept as \"%s\", and a new one "
               "was begun.",
               aside);
  free(aside);
  return store_open(path, db, error);
}

QfStatus
qf_practice_open(const char* const  path,
                 const int          utc_offset_s,
                 QfPractice** const result,
                 char** const       remark,
                 QfError* const     error)
{
  QfText   text  = {0};
  QfError  fault = {.status = QF_ERR_IO};
  sqlite3* db    = NULL;
  store_make_folders(path);
  StoreState state = store_open(path, &db, &fault);
  if (state == STORE_DAMAGED) {
    state = begin_anew(path, &db, &text, &fault);
  }

  if (state == STORE_NEWER) {
    qf_error_set(&fault, QF_ERR_UNSUPPORTED,
                 "the practice record was written by a newer version of the program; it is left as "
                 "it is");
  }
  if (state == STORE_READ_ONLY) {
    qf_text_add(&text, "The practice record can be read but not changed: its file or folder is "
                       "protected. Nothing new is recorded.");
  }

  QfPractice* const practice =
    state <= STORE_READ_ONLY ? (QfPractice*)calloc(1, sizeof(QfPractice)) : NULL;
  if (!practice) {
    sqlite3_close(db);
    qf_text_free(&text);
    return state <= STORE_READ_ONLY ? qf_error_set(error, QF_ERR_NO_MEM, "out of memory")
                                    : qf_error_set(error, fault.status, "%s", fault.text);
  }
  *practice = (QfPractice){db, utc_offset_s, state == STORE_READ_ONLY};
  *result   = practice;
  if (remark) {
    *remark = text.length ? qf_text_take(&text) : NULL;
  }
  qf_text_free(&text);
  return QF_OK;
}

void
qf_practice_free(QfPractice* const practice)
{
  if (practice) {
    sqlite3_close(practice->db);
    free(practice);
  }
}

bool
qf_practice_is_read_only(const QfPractice* const practice)
{
  return practice->is_read_only;
}

static QfStatus
check_attempts(const QfAttempt* const attempts, const size_t n_attempts, QfError* const error)
{
  for (size_t i = 0; i < n_attempts; ++i) {
    const QfAttempt* const attempt = &attempts[i];
    if (!qf_concept_is_valid(attempt->concept)) {
      return qf_error_set(
        error, QF_ERR_RANGE,
        "\"%.40s\" is no concept; expected a group and a member, such as target/V",
        attempt->concept);
    }
    if (attempt->asked < 1 || attempt->asked > MAX_ASKED || attempt->right < 0 ||
        attempt->right > attempt->asked) {
      return qf_error_set(error, QF_ERR_RANGE, "%s: %d right of %d cannot be", attempt->concept,
                          attempt->right, attempt->asked);
    }
    if (attempt->when_s < 0 || attempt->when_s > latest_s) {
      return qf_error_set(error, QF_ERR_RANGE, "%s: the clock shows no year from 1970 to 9999",
                          attempt->concept);
    }
  }
  return QF_OK;
}

static int
insert_attempts(sqlite3_stmt* const statement, const QfAttempt* const attempts, const size_t n)
{
  int code = SQLITE_OK;
  for (size_t i = 0; i < n && !code; ++i) {
    code = sqlite3_bind_text(statement, 1, attempts[i].concept, -1, SQLITE_STATIC);
    code = code ? code : sqlite3_bind_int(statement, 2, attempts[i].right);
    code = code ? code : sqlite3_bind_int(statement, 3, attempts[i].asked);
    code = code ? code : sqlite3_bind_int64(statement, 4, attempts[i].when_s);
    code = code ? code : sqlite3_step(statement);
    code = code == SQLITE_DONE ? sqlite3_reset(statement) : code;
  }
  return code;
}

QfStatus
qf_practice_record(QfPractice* const      practice,
                   const QfAttempt* const attempts,
                   const size_t           n_attempts,
                   QfError* const         error)
{
  const QfStatus st = check_attempts(attempts, n_attempts, error);
  if (st || !n_attempts) {
    return st;
  }
  if (practice->is_read_only) {
    return store_fail(practice->db, SQLITE_READONLY, error);
  }

  sqlite3* const db        = practice->db;
  sqlite3_stmt*  statement = NULL;
  int            code      = sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL);
  if (code) {
    return store_fail(db, code, error);
  }
  code =
    sqlite3_prepare_v2(db, "INSERT INTO attempts (concept, correct, asked, at) VALUES (?, ?, ?, ?)",
                       -1, &statement, NULL);
  code = code ? code : insert_attempts(statement, attempts, n_attempts);
  sqlite3_finalize(statement);
  code = code ? code : sqlite3_exec(db, "COMMIT", NULL, NULL, NULL);
  if (code) {
    store_fail(db, code, error);
    // Some failures have rolled it back already; then this does nothing.
    sqlite3_exec(db, "ROLLBACK", NULL, NULL, NULL);
    return store_fail(NULL, code, NULL);
  }
  return QF_OK;
}

QfStatus
qf_practice_delete_all(QfPractice* const practice, QfError* const error)
{
  if (practice->is_read_only) {
    return store_fail(practice->db, SQLITE_READONLY, error);
  }
  int code = sqlite3_exec(practice->db, "DELETE FROM attempts", NULL, NULL, NULL);
  if (code) {
    return store_fail(practice->db, code, error);
  }
  code = sqlite3_exec(practice->db, "VACUUM; PRAGMA wal_checkpoint(TRUNCATE)", NULL, NULL, NULL);
  return code
           ? qf_error_set(error, QF_ERR_IO,
                          "the practice record is empty now, but what it held could not be wiped "
                          "from the file: %s; delete it once more",
                          sqlite3_errmsg(practice->db))
           : QF_OK;
}
