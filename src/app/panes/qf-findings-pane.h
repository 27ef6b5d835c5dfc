// SPDX-License-Identifier: MIT
#ifndef QF_FINDINGS_PANE_H
#define QF_FINDINGS_PANE_H

#include "quintfall/rules.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   Remarks on the part-writing, and what can be said of the chosen one.

   Emits "chosen" (index) when a remark was chosen. Its buttons call the
   window's actions `win.profile`, `win.next-finding`, `win.previous-finding`
   and `win.mend`.
*/
#define QF_TYPE_FINDINGS_PANE (qf_findings_pane_get_type())
G_DECLARE_FINAL_TYPE(QfFindingsPane, qf_findings_pane, QF, FINDINGS_PANE, GtkWidget)

/**
   Show remarks.

   @param places Where each is, "Bar 2 beat 1"; as many as there are findings.
   @param chosen Index of the chosen one, or SIZE_MAX.
*/
void
qf_findings_pane_show(QfFindingsPane*    self,
                      const QfFindings*  findings,
                      const char* const* places,
                      size_t             chosen);

/// Mark one as chosen and bring it in sight
void
qf_findings_pane_choose(QfFindingsPane* self, const QfFindings* findings, size_t index);

/// "Error", "Warning", "Remark"
const char*
qf_severity_speak(QfSeverity severity);

/// "2 errors, 1 warning", or "Nothing found"; (transfer full)
char*
qf_findings_describe(const QfFindings* findings);

G_END_DECLS

#endif // QF_FINDINGS_PANE_H
