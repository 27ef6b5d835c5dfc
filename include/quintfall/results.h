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

/// True for a file of a folder that is to be added: an answer, or a .json file that is cut off and
/// must not be passed over in silence
bool
qf_results_takes_file(const char* path);

/**
   What the class got right, by concept: layers first, then all else, each by the
   share of what is right, the weakest first.

   @param[out] tallies (transfer full); an array for free().
*/
QfStatus
qf_results_tallies(const QfResults* results, QfTally** tallies, size_t* n_tallies, QfError* error);

/// What is weakest of a student, a layer only if it is nothing else; NULL for nothing
const QfTally*
qf_result_weakest(const QfResult* item);

/// "applied chords of ii: 1 of 3"
void
qf_tally_describe(const QfTally* tally, char* buffer, size_t size);

/// Students told apart by id, or by name; answers with neither count as one each
size_t
qf_results_n_students(const QfResults* results);

/// "30 answers of 29 students, 21 passed, mean 68 %" (transfer full)
char*
qf_results_summary(const QfResults* results);

/// The summary, and below it all that the class was asked, the weakest first (transfer full)
char*
qf_results_class_text(const QfResults* results);

/// One line an answer, RFC 4180 (transfer full)
char*
qf_results_csv(const QfResults* results);

/// What comments show of the solution
typedef enum {
  QF_COMMENTS_SOLVED,  ///< The passage under the answer, and what should stand where
  QF_COMMENTS_UNSOLVED ///< Only where points were lost and by what kind of fault
} QfCommentsKind;

/**
   Write a PDF of comments for every answer into a folder, which is made if it is missing.

   The student's page has its faults marked on the staves, with numbers that lead
   to the reasons below. Answers whose files have the same name in different
   folders get names of their own.

   @param lesson By which the results were graded; not changed.
   @return The first fault; one answer that cannot be written leaves the others.
*/
QfStatus
qf_results_write_pdfs(const QfResults* results,
                      QfLesson*        lesson,
                      QfCommentsKind   kind,
                      const char*      folder,
                      QfError*         error);

#endif // QUINTFALL_RESULTS_H
