// SPDX-License-Identifier: MIT
#ifndef QF_PROPERTIES_DIALOG_H
#define QF_PROPERTIES_DIALOG_H

#include "qf-lesson-item.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// Title, composer, remarks, key, metre and tempo; each change is one edit
#define QF_TYPE_PROPERTIES_DIALOG (qf_properties_dialog_get_type())
G_DECLARE_FINAL_TYPE(QfPropertiesDialog, qf_properties_dialog, QF, PROPERTIES_DIALOG, AdwWindow)

GtkWidget*
qf_properties_dialog_new(GtkWindow* parent, QfLessonItem* item);

G_END_DECLS

#endif // QF_PROPERTIES_DIALOG_H
