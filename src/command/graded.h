// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_COMMAND_GRADED_H
#define QUINTFALL_SRC_COMMAND_GRADED_H

#include "command.h"

#include "quintfall/grade.h"

/// An answer file and what became of it
typedef struct {
  char*     path;    ///< Owned
  QfAnswer* answer;  ///< Owned
  QfGrade*  grade;   ///< Owned
  size_t    attempt; ///< From 1, 0 if there is none
} Graded;

/// The results of a class
typedef struct {
  Graded* items; ///< Owned
  size_t  n_items;
  double  pass_percent;
} GradedList;

void
graded_list_clear(GradedList* list);

bool
graded_has_passed(const GradedList* list, const Graded* item);

/// The student's name, or the file's where none is written
const char*
graded_name(const Graded* item);

/// Results with every reason, for reading (transfer full)
char*
graded_text(const GradedList* list);

/// (transfer full)
char*
graded_json(const GradedList* list);

/// One line an answer (transfer full)
char*
graded_csv(const GradedList* list);

/// Write a PDF of comments for every answer into a folder, named like the answers
QfExit
graded_pdfs(const GradedList* list, const char* folder);

#endif // QUINTFALL_SRC_COMMAND_GRADED_H
