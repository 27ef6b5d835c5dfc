// SPDX-License-Identifier: MIT
#ifndef QF_HARMONISE_DIALOG_H
#define QF_HARMONISE_DIALOG_H

#include "lesson/qf-lesson-item.h"

#include "quintfall/harmonise.h"

#include <adwaita.h>

G_BEGIN_DECLS

/**
   Finds chords for the melody or the bass of a lesson, shows several chains, and
   writes the chosen one.

   Emits "hear" (a #QfScore, lent) when the chosen chain is to be sounded.
*/
#define QF_TYPE_HARMONISE_DIALOG (qf_harmonise_dialog_get_type())
G_DECLARE_FINAL_TYPE(QfHarmoniseDialog, qf_harmonise_dialog, QF, HARMONISE_DIALOG, AdwWindow)

/// What the dialog begins with
typedef struct {
  QfTime    start; ///< Notes that begin in [start, end) are harmonised
  QfTime    end;
  QfKey     key;
  QfProfile profile;
} QfHarmoniseTask;

GtkWidget*
qf_harmonise_dialog_new(GtkWindow* parent, QfLessonItem* item, QfHarmoniseTask task);

G_END_DECLS

#endif // QF_HARMONISE_DIALOG_H
