// SPDX-License-Identifier: MIT
#ifndef QF_SCORE_VIEW_H
#define QF_SCORE_VIEW_H

#include "quintfall/engrave.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   The staves, painted, with caret and marks; takes keys, clicks and drags.

   It changes nothing itself. Signals: "picked" (x, y, number of presses) for a
   click, "dragged" (note, x, y) when a note was dragged and let go.
*/
#define QF_TYPE_SCORE_VIEW (qf_score_view_get_type())
G_DECLARE_FINAL_TYPE(QfScoreView, qf_score_view, QF, SCORE_VIEW, GtkWidget)

/// @param engraving Lent until the next call; NULL shows nothing
void
qf_score_view_set_engraving(QfScoreView* self, const QfEngraving* engraving);

/// Marks to paint; the inks are the view's own
void
qf_score_view_set_marks(QfScoreView* self, const QfMarks* marks);

/// Signs beside notes outside their chords, #QfNoteSign (transfer full), or NULL for none
void
qf_score_view_take_signs(QfScoreView* self, GArray* signs);

/// Rings around notes that findings are about, #QfNoteRing (transfer full), or NULL for none
void
qf_score_view_take_rings(QfScoreView* self, GArray* rings);

/// Notes that are given to the student, identities (transfer full), or NULL for none
void
qf_score_view_take_givens(QfScoreView* self, GArray* notes);

/// Part that can be seen, so that long passages paint only that
void
qf_score_view_set_window(QfScoreView* self, double x, double width);

G_END_DECLS

#endif // QF_SCORE_VIEW_H
