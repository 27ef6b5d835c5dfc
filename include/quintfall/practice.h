// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PRACTICE_H
#define QUINTFALL_PRACTICE_H

#include "quintfall/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/**
   The practice record: what was right and wrong, by concept, kept on this machine.

   A concept is a short identity of a group and a member with a slash between:

   | group        | members                                       | say                      |
   |--------------|-----------------------------------------------|--------------------------|
   | `target`     | degree that is tonicized: `V`, `ii`, `VI`     | applied chords of V      |
   | `inversion`  | `0`, `1`, `2`, `3`                            | first inversion          |
   | `layer`      | `bass`, `soprano`, `inner`, `quality`, `numeral`, `rhythm` | the bass    |
   | `quality`    | as qf_chord_kind_id(): `half-dim7`            | half-diminished seventh  |
   | `function`   | a numeral: `ii65`, `N6`                       | ii65                     |
   | `resolution` | `leading-tone`, `seventh`, `augmented-sixth`  | resolution of the leading tone |
   | `drill`      | as qf_drill_kind_id(): `circle`               | drill: circle            |

   Other groups are kept and charted all the same. Practice is scheduled by
   SM-2: P. A. Wozniak, "Optimization of learning", 1990, section 3.2.
*/
typedef struct QfPracticeImpl QfPractice;

enum {
  QF_CONCEPT_SIZE      = 48,
  QF_CONCEPT_NAME_SIZE = 96,
  QF_PRACTICE_VERSION  = 1, ///< Of the database
};

/// Some answers on one concept at one time
typedef struct {
  char concept[QF_CONCEPT_SIZE];
  int     right;  ///< 0 to `asked`
  int     asked;  ///< At least 1
  int64_t when_s; ///< Seconds since 1970, UTC
} QfAttempt;

/// State of one concept in the scheme
typedef struct {
  double easiness;    ///< E-factor, at least 1.3
  int    repetitions; ///< In a row that were remembered
  int    interval_days;
} QfRecall;

/// One concept over all its time
typedef struct {
  char concept[QF_CONCEPT_SIZE];
  int64_t  right;
  int64_t  asked;
  int64_t  first_s;
  int64_t  last_s;
  QfRecall recall;
  int64_t  due_day; ///< Days since 1970 on which it is to be practised next
} QfConceptRecord;

typedef struct {
  QfConceptRecord* records; ///< Owned
  size_t           n_records;
} QfConceptRecords;

typedef enum { QF_PERIOD_DAY, QF_PERIOD_WEEK } QfPeriod;

/// A point of the chart
typedef struct {
  int64_t from_day; ///< First day of the period, days since 1970; weeks begin on Monday
  int64_t right;
  int64_t asked;
} QfPracticePoint;

typedef struct {
  QfPracticePoint* points; ///< Periods with answers, in order; owned
  size_t           n_points;
} QfPracticeSeries;

typedef enum { QF_PRACTICE_CSV, QF_PRACTICE_JSON } QfPracticeFormat;

/**
   Open the record, or make it, with its folder if that is missing.

   A file that is no record, or damaged, is set aside under another name in the
   same folder, never deleted, and a new one is begun. Where nothing can be
   written an existing record is opened for reading.

   @param path The database file.
   @param utc_offset_s Seconds east of UTC, by which days are counted.
   @param[out] remark What the user should know, a sentence (transfer full), or NULL.
   @return #QF_OK; #QF_ERR_IO if the record can be neither opened nor made;
   #QF_ERR_UNSUPPORTED if a newer version of the program wrote it; #QF_ERR_NO_MEM.
*/
QfStatus
qf_practice_open(const char*  path,
                 int          utc_offset_s,
                 QfPractice** result,
                 char**       remark,
                 QfError*     error);

void
qf_practice_free(QfPractice* practice);

/// True if attempts cannot be recorded: #QF_ERR_READ_ONLY
bool
qf_practice_is_read_only(const QfPractice* practice);

/**
   Record attempts, all of them or none.

   @return #QF_OK; #QF_ERR_RANGE for an attempt that cannot be; #QF_ERR_IO when
   the disk is full or another program keeps the record busy: try again;
   #QF_ERR_READ_ONLY.
*/
QfStatus
qf_practice_record(QfPractice*      practice,
                   const QfAttempt* attempts,
                   size_t           n_attempts,
                   QfError*         error);

/// Every concept with its sums and schedule, by identity; to be cleared
QfStatus
qf_practice_list(QfPractice* practice, QfConceptRecords* result, QfError* error);

/**
   What to practise at a time: due concepts, the longest overdue first, then the weaker.

   @param now_s Seconds since 1970, UTC.
*/
QfStatus
qf_practice_due(QfPractice* practice, int64_t now_s, QfConceptRecords* result, QfError* error);

void
qf_concept_records_clear(QfConceptRecords* records);

/**
   Right and asked over time.

   @param concept One concept, a group as "target/", or NULL for all.
*/
QfStatus
qf_practice_series(QfPractice* practice,
                   const char* concept,
                   QfPeriod          period,
                   QfPracticeSeries* result,
                   QfError*          error);

void
qf_practice_series_clear(QfPracticeSeries* series);

/// All attempts as text (transfer full): CSV with a header line, or JSON
QfStatus
qf_practice_export(QfPractice* practice, QfPracticeFormat format, char** text, QfError* error);

/// Forget everything, also in the file's free pages and journals
QfStatus
qf_practice_delete_all(QfPractice* practice, QfError* error);

/// A concept in words: "applied chords of V", "first inversion"
void
qf_concept_describe(const char* concept, char* buffer, size_t size);

/// True if it has a group, a slash, a member and fits #QF_CONCEPT_SIZE
bool
qf_concept_is_valid(const char* concept);

// ---- the scheme

/// Name and source of the scheme, one sentence for the user
const char*
qf_recall_scheme_text(void);

/// A concept never practised: E-factor 2.5
QfRecall
qf_recall_new(void);

/// After a repetition answered with quality 0-5
QfRecall
qf_recall_after(QfRecall recall, int quality);

/**
   Quality of an answer with so many right: 5 for all, 4 from 9 in 10, 3 from 3
   in 4, 2 from a half, 1 for some, 0 for none.

   SM-2 leaves it to the learner; this scale is ours.
*/
int
qf_recall_quality(int64_t right, int64_t asked);

#endif // QUINTFALL_PRACTICE_H
