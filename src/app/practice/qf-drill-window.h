// SPDX-License-Identifier: MIT
#ifndef QF_DRILL_WINDOW_H
#define QF_DRILL_WINDOW_H

#include "common/qf-preferences.h"

#include "quintfall/drill.h"

#include <adwaita.h>

G_BEGIN_DECLS

/**
   Show short drills: something is heard, one question asked, one answer given.

   @param kind To begin with.
   @param concept What they are to be about, as practice.h writes it, or NULL.
*/
void
qf_drill_window_present(GtkApplication* application,
                        GtkWindow*      parent,
                        QfPreferences*  preferences,
                        QfDrillKind     kind,
                        const char* concept);

/// The drill that practises a concept of practice.h best; false if there is none
gboolean
qf_drill_for_concept(const char* concept, QfDrillKind* kind);

G_END_DECLS

#endif // QF_DRILL_WINDOW_H
