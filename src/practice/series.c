// SPDX-License-Identifier: MIT
#include "practice_impl.h"

#include <stdlib.h>
#include <string.h>

enum {
  DAYS_A_WEEK     = 7,
  THURSDAY_OFFSET = 3, ///< 1 January 1970 was a Thursday, three days after a Monday
};

static int64_t
period_start(const int64_t day, const QfPeriod period)
{
  if (period == QF_PERIOD_DAY) {
    return day;
  }
  const int64_t since_monday = (day + THURSDAY_OFFSET) % DAYS_A_WEEK;
  return day - (since_monday < 0 ? since_monday + DAYS_A_WEEK : since_monday);
}

static QfPracticePoint*
point_of(QfPracticeSeries* const series, size_t* const capacity, const int64_t from_day)
{
  if (series->n_points && series->points[series->n_points - 1U].from_day == from_day) {
    return &series->points[series->n_points - 1U];
  }
  if (series->n_points == *capacity) {
    const size_t           grown = *capacity ? 2U * *capacity : 64U;
    QfPracticePoint* const list =
      (QfPracticePoint*)realloc(series->points, grown * sizeof(QfPracticePoint));
    if (!list) {
      return NULL;
    }
    series->points = list;
    *capacity      = grown;
  }
  QfPracticePoint* const point = &series->points[series->n_points++];
  *point                       = (QfPracticePoint){.from_day = from_day};
  return point;
}

static int
fold_attempts(const QfPractice* const practice,
              sqlite3_stmt* const     statement,
              const QfPeriod          period,
              QfPracticeSeries* const series)
{
  size_t capacity = 0;
  int    code     = 0;
  while ((code = sqlite3_step(statement)) == SQLITE_ROW) {
    const int64_t          day   = day_of(practice, sqlite3_column_int64(statement, 0));
    QfPracticePoint* const point = point_of(series, &capacity, period_start(day, period));
    if (!point) {
      return SQLITE_NOMEM;
    }
    point->right += sqlite3_column_int64(statement, 1);
    point->asked += sqlite3_column_int64(statement, 2);
  }
  return code == SQLITE_DONE ? SQLITE_OK : code;
}

QfStatus
qf_practice_series(QfPractice* const practice,
                   const char* const concept,
                   const QfPeriod          period,
                   QfPracticeSeries* const result,
                   QfError* const          error)
{
  static const char sql[] = "SELECT at, correct, asked FROM attempts WHERE ?1 = '' OR concept = ?1 "
                            "OR (?1 LIKE '%/' AND substr(concept, 1, length(?1)) = ?1) "
                            "ORDER BY at, id";
  QfPracticeSeries  series    = {0};
  sqlite3_stmt*     statement = NULL;
  int               code      = sqlite3_prepare_v2(practice->db, sql, -1, &statement, NULL);
  code = code ? code : sqlite3_bind_text(statement, 1, concept ? concept : "", -1, SQLITE_STATIC);
  code = code ? code : fold_attempts(practice, statement, period, &series);
  if (code) {
    store_fail(practice->db, code, error);
  }
  sqlite3_finalize(statement);
  if (code) {
    qf_practice_series_clear(&series);
    return store_fail(NULL, code, NULL);
  }
  *result = series;
  return QF_OK;
}

void
qf_practice_series_clear(QfPracticeSeries* const series)
{
  free(series->points);
  *series = (QfPracticeSeries){0};
}
