// SPDX-License-Identifier: MIT
#ifndef QF_NEW_DIALOG_H
#define QF_NEW_DIALOG_H

#include "qf-lesson-item.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// Asks for key, metre, pickup and bars, and opens an empty lesson
#define QF_TYPE_NEW_DIALOG (qf_new_dialog_get_type())
G_DECLARE_FINAL_TYPE(QfNewDialog, qf_new_dialog, QF, NEW_DIALOG, AdwWindow)

GtkWidget*
qf_new_dialog_new(GtkWindow* parent, QfLessonItem* item);

G_END_DECLS

#endif // QF_NEW_DIALOG_H
