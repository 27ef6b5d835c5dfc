// SPDX-License-Identifier: MIT
#include "practice_impl.h"

#include "quintfall/text.h"

#include <time.h>

enum {
  TIME_SIZE = 32,
};

/// "2026-11-25T12:00:00Z", ISO 8601
static void
write_time(const int64_t when_s, char buffer[TIME_SIZE])
{
  const time_t time = (time_t)when_s;
  struct tm    utc;
  buffer[0] = '\0';
  if (gmtime_r(&time, &utc)) {
    strftime(buffer, TIME_SIZE, "%Y-%m-%dT%H:%M:%SZ", &utc);
  }
}

/// One attempt; concepts hold nothing that either format would have to escape
static void
add_row(QfText* const          text,
        const QfPracticeFormat format,
        sqlite3_stmt* const    statement,
        const bool             is_first)
{
  const unsigned char* const concept = sqlite3_column_text(statement, 0);
  const long long right              = sqlite3_column_int64(statement, 1);
  const long long asked              = sqlite3_column_int64(statement, 2);
  char            time[TIME_SIZE];
  write_time(sqlite3_column_int64(statement, 3), time);
  if (format == QF_PRACTICE_CSV) {
    qf_text_addf(text, "%s,%lld,%lld,%s\r\n", concept, right, asked, time);
  } else {
    qf_text_addf(text,
                 "%s\n    {\"concept\": \"%s\", \"right\": %lld, \"asked\": %lld, \"at\": \"%s\"}",
                 is_first ? "" : ",", concept, right, asked, time);
  }
}

QfStatus
qf_practice_export(QfPractice* const      practice,
                   const QfPracticeFormat format,
                   char** const           result,
                   QfError* const         error)
{
  static const char sql[] = "SELECT concept, correct, asked, at FROM attempts ORDER BY at, id";

  QfText        text      = {0};
  sqlite3_stmt* statement = NULL;
  int           code      = sqlite3_prepare_v2(practice->db, sql, -1, &statement, NULL);
  // CSV after RFC 4180: a header line, lines that end in CR LF
  qf_text_add(&text, format == QF_PRACTICE_CSV
                       ? "concept,right,asked,at\r\n"
                       : "{\n  \"format\": \"quintfall-practice\",\n  \"version\": 1,\n"
                         "  \"attempts\": [");
  bool is_first = true;
  while (!code && (code = sqlite3_step(statement)) == SQLITE_ROW) {
    add_row(&text, format, statement, is_first);
    is_first = false;
    code     = SQLITE_OK;
  }
  if (format == QF_PRACTICE_JSON) {
    qf_text_add(&text, is_first ? "]\n}\n" : "\n  ]\n}\n");
  }
  const bool is_done = code == SQLITE_DONE;
  QfStatus   st      = QF_OK;
  if (!is_done || text.failed) {
    st = store_fail(practice->db, is_done ? SQLITE_NOMEM : code, error);
  }
  sqlite3_finalize(statement);
  if (st) {
    qf_text_free(&text);
    return st;
  }
  *result = qf_text_take(&text);
  return QF_OK;
}
