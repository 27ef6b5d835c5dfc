// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_SRC_EXERCISE_VERDICT_H
#define QUINTFALL_SRC_EXERCISE_VERDICT_H

#include "quintfall/exercise.h"

/// Why a draw was thrown away
typedef enum {
  VERDICT_GOOD,
  VERDICT_LABELS, ///< The labels are not the chain
  VERDICT_ERRORS, ///< Part-writing
  VERDICT_NO_MEM,
} Verdict;

/// True if labels are the chain asked for
bool
labels_are_links(const QfScore*  score,
                 const QfLabels* labels,
                 const QfLink*   links,
                 size_t          n_links,
                 QfError*        error);

/// Judge a lesson against its chain
Verdict
judge_lesson(QfLesson* lesson, const QfLink* links, size_t n_links);

/// A lesson around a copy of a score, its key declared (transfer full), or NULL
QfLesson*
lesson_of_score(const QfScore* score, QfKey key, bool modulates);

#endif // QUINTFALL_SRC_EXERCISE_VERDICT_H
