// SPDX-License-Identifier: MIT
#ifndef QF_CIRCLE_VIEW_H
#define QF_CIRCLE_VIEW_H

#include "quintfall/label.h"
#include "quintfall/solfege.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   The path of the roots on the circle of fifths, numbered in order.

   A long passage shows the links around the current one.
*/
#define QF_TYPE_CIRCLE_VIEW (qf_circle_view_get_type())
G_DECLARE_FINAL_TYPE(QfCircleView, qf_circle_view, QF, CIRCLE_VIEW, GtkWidget)

/// Copies what it needs
void
qf_circle_view_set_labels(QfCircleView* self, const QfLabels* labels, QfNamingKind naming);

/// Links by index, or SIZE_MAX
void
qf_circle_view_set_marks(QfCircleView* self, size_t current, size_t playing);

G_END_DECLS

#endif // QF_CIRCLE_VIEW_H
