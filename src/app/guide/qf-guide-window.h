// SPDX-License-Identifier: MIT
#ifndef QF_GUIDE_WINDOW_H
#define QF_GUIDE_WINDOW_H

#include <adwaita.h>

G_BEGIN_DECLS

/// Show how the program is used, by what somebody wants to do
void
qf_guide_window_present(GtkApplication* application, GtkWindow* parent);

G_END_DECLS

#endif // QF_GUIDE_WINDOW_H
