// SPDX-License-Identifier: MIT
#ifndef QF_MAKE_RUN_H
#define QF_MAKE_RUN_H

#include "quintfall/workbook.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// A set that is being written in the background, with a bar that shows how far it is
typedef struct QfMakeRun QfMakeRun;

/// How a set ended: words for the user, and whether all that was asked for is there
typedef void (*QfMakeEnded)(const char* words, gpointer data);

/// (transfer full) Nothing runs yet
QfMakeRun*
qf_make_run_new(QfMakeEnded ended, gpointer data);

/// Cancels what runs, and waits for it
void
qf_make_run_free(QfMakeRun* self);

/// Bar and Cancel, visible only while a set is written; (transfer none)
GtkWidget*
qf_make_run_get_widget(QfMakeRun* self);

/// Begin to write a set, unless one is being written
void
qf_make_run_start(QfMakeRun* self, const QfWorkbookOptions* options, const char* folder);

gboolean
qf_make_run_is_busy(const QfMakeRun* self);

G_END_DECLS

#endif // QF_MAKE_RUN_H
