// SPDX-License-Identifier: MIT
#ifndef QF_STEP_EDITOR_H
#define QF_STEP_EDITOR_H

#include "quintfall/plan.h"
#include "quintfall/score.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   The settings of one step of a hearing plan, in rows.

   Emits "changed" when the user changed something.
*/
#define QF_TYPE_STEP_EDITOR (qf_step_editor_get_type())
G_DECLARE_FINAL_TYPE(QfStepEditor, qf_step_editor, QF, STEP_EDITOR, GtkWidget)

/// What the steps are about: voices and bars of a score (kept by the caller), the lesson's mode,
/// the folder audio files lie in (or NULL), and the SoundFont (or NULL for the system's)
void
qf_step_editor_set_lesson(QfStepEditor*  self,
                          const QfScore* score,
                          const char*    folder,
                          const char*    soundfont);

/// Show a step, or none for NULL; emits nothing
void
qf_step_editor_show(QfStepEditor* self, const QfPlanStep* step);

/// The step as the rows say it
QfPlanStep
qf_step_editor_get_step(const QfStepEditor* self);

/// What keeps the step from being used, or NULL
const char*
qf_step_editor_get_fault(const QfStepEditor* self);

G_END_DECLS

#endif // QF_STEP_EDITOR_H
