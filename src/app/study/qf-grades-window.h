// SPDX-License-Identifier: MIT
#ifndef QF_GRADES_WINDOW_H
#define QF_GRADES_WINDOW_H

#include "common/qf-preferences.h"

#include "quintfall/lesson.h"

#include <adwaita.h>

G_BEGIN_DECLS

/**
   Grade answers to a lesson: a table, comments, CSV.

   @param lesson Taken.
*/
void
qf_grades_window_present(GtkApplication* application,
                         GtkWindow*      parent,
                         QfPreferences*  preferences,
                         QfLesson*       lesson);

G_END_DECLS

#endif // QF_GRADES_WINDOW_H
