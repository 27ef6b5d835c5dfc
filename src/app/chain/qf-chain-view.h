// SPDX-License-Identifier: MIT
#ifndef QF_CHAIN_VIEW_H
#define QF_CHAIN_VIEW_H

#include "common/qf-preferences.h"

#include "quintfall/label.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   The chain: a link for each span, joins between them, brackets beneath.

   Tab enters at the current link and leaves again; the arrow keys go along the
   links. Signals: "chosen" (index) when a link was chosen, "typed" (text) when
   a numeral was begun on a link.
*/
#define QF_TYPE_CHAIN_VIEW (qf_chain_view_get_type())
G_DECLARE_FINAL_TYPE(QfChainView, qf_chain_view, QF, CHAIN_VIEW, GtkWidget)

/**
   Show labels; keeps widgets whose content stays.

   @param labels NULL shows nothing.
   @param scale Of all text, 1 at the usual staff size.
*/
void
qf_chain_view_set_labels(QfChainView*          self,
                         const QfLabels*       labels,
                         const QfScore*        score,
                         const QfViewSettings* view,
                         double                scale);

/// Least distance of two links' starts, from the widest link and the room for a join
int
qf_chain_view_get_pitch(QfChainView* self);

/**
   Put the links in their places.

   @param starts As many as there are links.
   @param end Where the passage ends.
*/
void
qf_chain_view_place(QfChainView* self, const double* starts, double end);

/// Mark links by index, or SIZE_MAX for none
void
qf_chain_view_set_marks(QfChainView* self, size_t current, size_t playing);

/// Show links as selected, beside the current one
void
qf_chain_view_set_range(QfChainView* self, size_t first, size_t last);

void
qf_chain_view_set_window(QfChainView* self, double x, double width);

/// Give the focus to the current link
void
qf_chain_view_focus_current(QfChainView* self);

G_END_DECLS

#endif // QF_CHAIN_VIEW_H
