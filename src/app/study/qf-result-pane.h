// SPDX-License-Identifier: MIT
#ifndef QF_RESULT_PANE_H
#define QF_RESULT_PANE_H

#include "quintfall/grade.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   A graded attempt: total, each layer, and every point lost with its reason.

   Emits "chosen" (index of a verdict).
*/
#define QF_TYPE_RESULT_PANE (qf_result_pane_get_type())
G_DECLARE_FINAL_TYPE(QfResultPane, qf_result_pane, QF, RESULT_PANE, GtkWidget)

/// Show a grade, or NULL for none; it is not kept
void
qf_result_pane_show(QfResultPane* self, const QfGrade* grade);

/// Select the row of a verdict, so that it is in sight
void
qf_result_pane_choose(QfResultPane* self, size_t verdict);

G_END_DECLS

#endif // QF_RESULT_PANE_H
