// SPDX-License-Identifier: MIT
#ifndef QF_ANSWER_SHELF_H
#define QF_ANSWER_SHELF_H

#include "quintfall/answer.h"

#include <glib.h>

G_BEGIN_DECLS

// The folder in the user's data where begun answers are kept.

/// A path of its own for a new answer, named after the lesson and the moment (transfer full)
char*
qf_answer_shelf_dup_path(const char* title);

/**
   The latest answer to a task that was begun on this machine.

   @param[out] path Where it is (transfer full)
   @return (transfer full) NULL if there is none.
*/
QfAnswer*
qf_answer_shelf_find(const QfAnswer* task, char** path);

G_END_DECLS

#endif // QF_ANSWER_SHELF_H
