// SPDX-License-Identifier: MIT
#include "practice_impl.h"

#include <stdlib.h>
#include <string.h>

/// Answers on one concept on one day
typedef struct {
  int64_t day;
  int64_t right;
  int64_t asked;
} Day;

/**
   Go on by one day of practice.

   SM-2 knows one repetition a day, on the day it is due. What is remembered
   before that day changes nothing; what is forgotten always starts again.
   common practice
*/
static void
close_day(QfConceptRecord* const record, const Day day)
{
  if (!day.asked) {
    return;
  }
  const bool     is_early = record->recall.interval_days && day.day < record->due_day;
  const int      quality  = qf_recall_quality(day.right, day.asked);
  const QfRecall next     = qf_recall_after(record->recall, quality);
  if (is_early && next.repetitions) {
    return;
  }
  record->recall  = next;
  record->due_day = day.day + next.interval_days;
}

static QfConceptRecord*
append(QfConceptRecords* const records, size_t* const capacity, const char* const concept)
{
  if (records->n_records == *capacity) {
    const size_t           grown = *capacity ? 2U * *capacity : 32U;
    QfConceptRecord* const list =
      (QfConceptRecord*)realloc(records->records, grown * sizeof(QfConceptRecord));
    if (!list) {
      return NULL;
    }
    records->records = list;
    *capacity        = grown;
  }
  QfConceptRecord* const record = &records->records[records->n_records++];
  *record                       = (QfConceptRecord){.recall = qf_recall_new()};
  strncpy(record->concept, concept, sizeof(record->concept) - 1U);
  return record;
}

/// Go through all attempts, concept by concept and in order of time
static int
fold_attempts(const QfPractice* const practice,
              sqlite3_stmt* const     statement,
              QfConceptRecords* const records)
{
  QfConceptRecord* record   = NULL;
  Day              day      = {0};
  size_t           capacity = 0;
  int              code     = 0;
  while ((code = sqlite3_step(statement)) == SQLITE_ROW) {
    const char* const concept = (const char*)sqlite3_column_text(statement, 0);
    const int64_t when_s      = sqlite3_column_int64(statement, 1);
    const int64_t right       = sqlite3_column_int64(statement, 2);
    const int64_t asked       = sqlite3_column_int64(statement, 3);
    const int64_t today       = day_of(practice, when_s);
    const bool    is_new      = !record || !concept || strcmp(record->concept, concept) != 0;
    if (record && (is_new || today != day.day)) {
      close_day(record, day);
      day = (Day){today, 0, 0};
    }
    if (is_new) {
      record = concept ? append(records, &capacity, concept) : NULL;
      if (!record) {
        return SQLITE_NOMEM;
      }
      record->first_s = when_s;
    }
    day.day = today;
    day.right += right;
    day.asked += asked;
    record->right += right;
    record->asked += asked;
    record->last_s = when_s;
  }
  if (record) {
    close_day(record, day);
  }
  return code == SQLITE_DONE ? SQLITE_OK : code;
}

QfStatus
qf_practice_list(QfPractice* const practice, QfConceptRecords* const result, QfError* const error)
{
  static const char sql[] =
    "SELECT concept, at, correct, asked FROM attempts ORDER BY concept, at, id";

  QfConceptRecords records   = {0};
  sqlite3_stmt*    statement = NULL;
  int              code      = sqlite3_prepare_v2(practice->db, sql, -1, &statement, NULL);
  code                       = code ? code : fold_attempts(practice, statement, &records);
  if (code) {
    store_fail(practice->db, code, error);
  }
  sqlite3_finalize(statement);
  if (code) {
    qf_concept_records_clear(&records);
    return store_fail(NULL, code, NULL);
  }
  *result = records;
  return QF_OK;
}

/// The longest overdue first, then the weaker, then by identity
static int
compare_urgency(const void* const a, const void* const b)
{
  const QfConceptRecord* const x = (const QfConceptRecord*)a;
  const QfConceptRecord* const y = (const QfConceptRecord*)b;
  if (x->due_day != y->due_day) {
    return x->due_day < y->due_day ? -1 : 1;
  }
  const int64_t left  = x->right * y->asked;
  const int64_t right = y->right * x->asked;
  return left != right ? (left < right ? -1 : 1) : strcmp(x->concept, y->concept);
}

QfStatus
qf_practice_due(QfPractice* const       practice,
                const int64_t           now_s,
                QfConceptRecords* const result,
                QfError* const          error)
{
  QfConceptRecords records = {0};
  const QfStatus   st      = qf_practice_list(practice, &records, error);
  if (st) {
    return st;
  }

  const int64_t today = day_of(practice, now_s);
  size_t        n     = 0;
  for (size_t i = 0; i < records.n_records; ++i) {
    if (records.records[i].due_day <= today) {
      records.records[n++] = records.records[i];
    }
  }
  records.n_records = n;
  if (n) {
    qsort(records.records, n, sizeof(QfConceptRecord), compare_urgency);
  }
  *result = records;
  return QF_OK;
}

void
qf_concept_records_clear(QfConceptRecords* const records)
{
  free(records->records);
  *records = (QfConceptRecords){0};
}
