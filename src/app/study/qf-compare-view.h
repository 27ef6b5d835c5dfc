// SPDX-License-Identifier: MIT
#ifndef QF_COMPARE_VIEW_H
#define QF_COMPARE_VIEW_H

#include "quintfall/compare.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   A graded answer over the passage, on the same staves.

   Its toggles choose the layers and pages that are drawn; its buttons call
   `win.previous-difference`, `win.next-difference`, and `win.hear-difference`
   with its kin. Signals: "picked" (voice, place as whole notes' numerator and
   denominator) for a click on the staves, "toggled" when other layers are shown.
*/
#define QF_TYPE_COMPARE_VIEW (qf_compare_view_get_type())
G_DECLARE_FINAL_TYPE(QfCompareView, qf_compare_view, QF, COMPARE_VIEW, GtkWidget)

/// @param comparison Lent until the next call; NULL shows nothing
void
qf_compare_view_show(QfCompareView*      self,
                     const QfComparison* comparison,
                     double              zoom,
                     QfNamingKind        naming);

/// @param place On the passage's scale of time
void
qf_compare_view_set_caret(QfCompareView* self, size_t voice, QfTime place);

/// Show a difference with its reason and mark its notes; SIZE_MAX for none
void
qf_compare_view_choose(QfCompareView* self, size_t difference);

/// False for a difference in a layer that is not shown
gboolean
qf_compare_view_has(const QfCompareView* self, size_t difference);

/// Which page sounds, for the eye
typedef enum { QF_HEARD_NOTHING, QF_HEARD_ANSWER, QF_HEARD_PASSAGE } QfHeardPage;

/// What is heard from now on is another hearing
void
qf_compare_view_begin_hearing(QfCompareView* self);

/// @param place Negative where nothing of the passage sounds
void
qf_compare_view_set_playing(QfCompareView* self, QfHeardPage page, QfTime place);

/// Give the keyboard to the staves
void
qf_compare_view_grab_focus(QfCompareView* self);

G_END_DECLS

#endif // QF_COMPARE_VIEW_H
