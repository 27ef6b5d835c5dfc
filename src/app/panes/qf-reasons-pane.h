// SPDX-License-Identifier: MIT
#ifndef QF_REASONS_PANE_H
#define QF_REASONS_PANE_H

#include "common/qf-preferences.h"
#include "qf-evidence.h"

#include "quintfall/label.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   Why a link is read as it is, and how else it could be read.

   Its buttons call the window's actions `win.pin`, `win.unpin` and
   `win.pin-reading` with the reading's number.
*/
#define QF_TYPE_REASONS_PANE (qf_reasons_pane_get_type())
G_DECLARE_FINAL_TYPE(QfReasonsPane, qf_reasons_pane, QF, REASONS_PANE, GtkWidget)

/// @param index Link to explain, or SIZE_MAX for none
void
qf_reasons_pane_show(QfReasonsPane*  self,
                     const QfLabels* labels,
                     size_t          index,
                     QfNamingKind    naming);

/// Show what speaks for a bracket of the chain instead
void
qf_reasons_pane_show_evidence(QfReasonsPane* self, const QfEvidence* evidence);

G_END_DECLS

#endif // QF_REASONS_PANE_H
