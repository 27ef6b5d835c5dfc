// SPDX-License-Identifier: MIT
#ifndef QF_QUESTION_FORM_H
#define QF_QUESTION_FORM_H

#include "lesson/qf-lesson-item.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// Edit one leading question, or a new one of the teacher's own if `question` is NULL
void
qf_question_form_present(GtkWindow* parent, QfLessonItem* item, const QfQuestion* question);

G_END_DECLS

#endif // QF_QUESTION_FORM_H
