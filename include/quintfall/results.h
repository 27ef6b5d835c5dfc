// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_RESULTS_H
#define QUINTFALL_RESULTS_H

#include "quintfall/grade.h"

/// An answer file and what became of it
typedef struct {
  char*     path;    ///< Owned
  QfAnswer* answer;  ///< Owned
  QfGrade*  grade;   ///< Owned
  size_t    attempt; ///< From 1, 0 if there is none
} QfResult;

/// The results of a class
typedef struct {
  QfResult* items; ///< Owned
  size_t    n_items;
  double    pass_percent;
} QfResults;

/**
   Read an answer, grade it, and append it.

   @param attempt From 1, or 0 for the last.
   @return As qf_answer_load() and qf_grade_new(); nothing is appended then.
*/
QfStatus
qf_results_add(QfResults*      results,
               QfLesson*       lesson,
               const char*     path,
               size_t          attempt,
               const QfRubric* rubric,
               QfNamingKind    naming,
               QfError*        error);

void
qf_results_clear(QfResults* results);

bool
qf_result_has_passed(const QfResults* results, const QfResult* item);

/// The student's name, or the file's where none is written
const char*
qf_result_name(const QfResult* item);

/// "12 of 20 points, 60.0 %, passed" (transfer full)
char*
qf_result_summary(const QfResults* results, const QfResult* item);

/// One line an answer, RFC 4180 (transfer full)
char*
qf_results_csv(const QfResults* results);

/// Write a PDF of comments for every answer into a folder, which is made if it is missing
QfStatus
qf_results_write_pdfs(const QfResults* results, const char* folder, QfError* error);

#endif // QUINTFALL_RESULTS_H
