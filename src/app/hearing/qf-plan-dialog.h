// SPDX-License-Identifier: MIT
#ifndef QF_PLAN_DIALOG_H
#define QF_PLAN_DIALOG_H

#include "common/qf-preferences.h"
#include "lesson/qf-lesson-item.h"

#include <adwaita.h>

G_BEGIN_DECLS

/**
   The hearing plan of a lesson: its steps in a list, the chosen step's settings
   beside it, ready plans and the user's own.

   Nothing changes until it is applied; that is one edit. Emits "hear" with the
   plan as it is here (a QfPlan) and the index of the step to begin with (guint64)
   when the user wants to hear it, or to hear no more.
*/
#define QF_TYPE_PLAN_DIALOG (qf_plan_dialog_get_type())
G_DECLARE_FINAL_TYPE(QfPlanDialog, qf_plan_dialog, QF, PLAN_DIALOG, AdwWindow)

QfPlanDialog*
qf_plan_dialog_new(GtkWindow* parent, QfLessonItem* item, const QfPreferences* preferences);

G_END_DECLS

#endif // QF_PLAN_DIALOG_H
