// SPDX-License-Identifier: MIT
#ifndef QF_PLAN_SHELF_WINDOW_H
#define QF_PLAN_SHELF_WINDOW_H

#include <adwaita.h>

G_BEGIN_DECLS

/// The plans a user has kept in a folder, to be renamed and removed; each takes effect at once
GtkWindow*
qf_plan_shelf_window_new(GtkWindow* parent, const char* folder);

G_END_DECLS

#endif // QF_PLAN_SHELF_WINDOW_H
