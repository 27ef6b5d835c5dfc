// SPDX-License-Identifier: MIT
#ifndef QF_PRACTICE_WINDOW_H
#define QF_PRACTICE_WINDOW_H

#include "common/qf-preferences.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// Show the practice record: what is due, how it went over time, export and delete
void
qf_practice_window_present(GtkApplication* application,
                           GtkWindow*      parent,
                           QfPreferences*  preferences);

G_END_DECLS

#endif // QF_PRACTICE_WINDOW_H
