// SPDX-License-Identifier: MIT
#ifndef QF_QUESTIONS_DIALOG_H
#define QF_QUESTIONS_DIALOG_H

#include "lesson/qf-lesson-item.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// Show the leading questions of a lesson: edit, drop, reorder, add, make anew
void
qf_questions_dialog_present(GtkWindow* parent, QfLessonItem* item);

G_END_DECLS

#endif // QF_QUESTIONS_DIALOG_H
