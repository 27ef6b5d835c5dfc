// SPDX-License-Identifier: MIT
#ifndef QF_EXPLORE_PANE_H
#define QF_EXPLORE_PANE_H

#include "quintfall/explore.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   Where a link can go: a list of continuations, and what can be said of the chosen one.

   Emits "chosen" when the user chooses another one, and "taken" when it is to be
   placed. Its buttons call the window's actions `win.hear-continuation` and
   `win.take-continuation`; Escape calls `win.leave-pane`.
*/
#define QF_TYPE_EXPLORE_PANE (qf_explore_pane_get_type())
G_DECLARE_FINAL_TYPE(QfExplorePane, qf_explore_pane, QF, EXPLORE_PANE, GtkWidget)

/// Show continuations of a link and choose the first; what `found` holds is taken
void
qf_explore_pane_take(QfExplorePane*   self,
                     QfContinuations* found,
                     const QfLink*    from,
                     QfNamingKind     naming);

/// Show that there is nothing to go on from, and why
void
qf_explore_pane_clear(QfExplorePane* self, const char* why);

/// The chosen way, or NULL (transfer none, until the next change)
const QfContinuation*
qf_explore_pane_get_chosen(const QfExplorePane* self);

/// What sounds before it, as it was explored from
const QfVoicing*
qf_explore_pane_get_start(const QfExplorePane* self);

/// Give the keyboard to the chosen row
void
qf_explore_pane_focus(QfExplorePane* self);

G_END_DECLS

#endif // QF_EXPLORE_PANE_H
