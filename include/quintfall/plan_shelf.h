// SPDX-License-Identifier: MIT
#ifndef QUINTFALL_PLAN_SHELF_H
#define QUINTFALL_PLAN_SHELF_H

#include "quintfall/plan.h"

/// A plan kept by the user
typedef struct {
  char* name; ///< Owned
  char* path; ///< Owned
} QfKeptPlan;

/// The user's own plans, by name
typedef struct {
  QfKeptPlan* plans; ///< Owned
  size_t      n_plans;
} QfPlanShelf;

/// Folder `quintfall/plans` of the user's data (transfer full; NULL if out of memory)
char*
qf_plan_shelf_folder(void);

/**
   List the plans in a folder; files that hold none are passed over.

   @return #QF_OK, also for a folder that does not exist; #QF_ERR_NO_MEM.
*/
QfStatus
qf_plan_shelf_read(const char* folder, QfPlanShelf* result);

void
qf_plan_shelf_clear(QfPlanShelf* shelf);

/// Keep a plan, in place of one of the same name; makes the folder
QfStatus
qf_plan_shelf_keep(const char* folder, const QfPlan* plan, QfError* error);

/// Give a kept plan another name; #QF_ERR_RANGE if it is empty or another plan has it
QfStatus
qf_plan_shelf_rename(const char* folder, const char* name, const char* wanted, QfError* error);

/// Remove the plan of a name; #QF_ERR_IO if there is none
QfStatus
qf_plan_shelf_remove(const char* folder, const char* name, QfError* error);

/// Find a plan by name, among the ready ones and those of a folder, or as a file (transfer full)
QfStatus
qf_plan_find(const char* folder, const char* name_or_path, QfPlan** result, QfError* error);

#endif // QUINTFALL_PLAN_SHELF_H
