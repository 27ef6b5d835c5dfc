// SPDX-License-Identifier: MIT
#ifndef QF_GRADES_CLASS_H
#define QF_GRADES_CLASS_H

#include "quintfall/results.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// What the class missed, so that a teacher sees what to teach again, and what could not be graded
typedef struct QfGradesClass QfGradesClass;

/// (transfer full) `results` is lent, and must outlive it
QfGradesClass*
qf_grades_class_new(const QfResults* results);

void
qf_grades_class_free(QfGradesClass* self);

/// (transfer none)
GtkWidget*
qf_grades_class_get_widget(QfGradesClass* self);

/// Show what the results say now
void
qf_grades_class_update(QfGradesClass* self);

/// Keep in view that a file could not be graded, and why
void
qf_grades_class_add_fault(QfGradesClass* self, const char* path, const char* reason);

G_END_DECLS

#endif // QF_GRADES_CLASS_H
