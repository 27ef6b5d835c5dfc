// SPDX-License-Identifier: MIT
#ifndef QF_TASK_DIALOG_H
#define QF_TASK_DIALOG_H

#include "lesson/qf-lesson-item.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// Show how a lesson is set as a task, and how answers to it are marked
void
qf_task_dialog_present(GtkWindow* parent, QfLessonItem* item);

G_END_DECLS

#endif // QF_TASK_DIALOG_H
