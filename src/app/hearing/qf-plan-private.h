// SPDX-License-Identifier: MIT
#ifndef QF_PLAN_PRIVATE_H
#define QF_PLAN_PRIVATE_H

#include "qf-plan-dialog.h"
#include "qf-step-editor.h"

#include "quintfall/plan_shelf.h"

G_BEGIN_DECLS

struct _QfPlanDialog {
  AdwWindow        parent_instance;
  GtkWidget*       apply; ///< Template child, as all widgets below
  AdwToastOverlay* toasts;
  GtkEditable*     name;
  GtkListBox*      steps;
  QfStepEditor*    editor;
  GtkLabel*        length;
  GMenu*           ready_menu;
  GMenu*           own_menu;

  QfLessonItem*       item;     ///< Owned reference
  GSimpleActionGroup* actions;  ///< Owned
  QfPlan*             plan;     ///< Owned; what is being edited
  QfPlan*             original; ///< Owned; as the dialog began
  QfPlan*             kept;     ///< Owned; as it was last kept for other lessons, or NULL
  GQueue              undone;   ///< Owned plans, the latest first, and so below
  GQueue              done;
  size_t              edited_step; ///< Step whose settings were changed last, or SIZE_MAX
  gint64              edited_us;   ///< And when
  char*               folder;      ///< Of the user's own plans
  gboolean            is_filling;
};

// ---- the list of steps

/// Index of the chosen step, or SIZE_MAX
size_t
qf_plan_list_get_chosen(const QfPlanDialog* self);

/// Make the list anew and choose a step
void
qf_plan_list_fill(QfPlanDialog* self, size_t chosen);

/// Tell a step's row what the step is now
void
qf_plan_list_show_row(QfPlanDialog* self, size_t index);

/// Give the keyboard to the chosen row
void
qf_plan_list_focus(QfPlanDialog* self);

/// Let rows be dragged to other places
void
qf_plan_list_accept_drags(QfPlanDialog* self);

// ---- changes

/// Show the plan anew with a step chosen
void
qf_plan_dialog_show(QfPlanDialog* self, size_t chosen);

/// Remember the plan before a change, to go back to
void
qf_plan_edits_begin(QfPlanDialog* self);

/// The user changed the settings of the chosen step; little by little is one change
void
qf_plan_edits_take_step(QfPlanDialog* self);

/// The user changed the name
void
qf_plan_edits_take_name(QfPlanDialog* self);

/// Move a step, as a change
void
qf_plan_edits_move(QfPlanDialog* self, size_t from, size_t to);

/// Set which commands make sense
void
qf_plan_edits_show_actions(QfPlanDialog* self);

void
qf_plan_edits_add_actions(QfPlanDialog* self);

void
qf_plan_edits_clear(QfPlanDialog* self);

// ---- plans to begin from, and those of the user

void
qf_plan_own_add_actions(QfPlanDialog* self);

void
qf_plan_own_fill_menus(QfPlanDialog* self);

G_END_DECLS

#endif // QF_PLAN_PRIVATE_H
