// SPDX-License-Identifier: MIT
#ifndef QF_BEGUN_DIALOG_H
#define QF_BEGUN_DIALOG_H

#include "quintfall/answer.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// @param answer Transfer full. @param path Where it was read from.
typedef void (*QfBegunFunc)(QfAnswer* answer, const char* path, gpointer data);

/**
   A task is opened: go on with the answer that was begun to it, or begin one.

   Asks only where there is a begun answer, since another student may sit at the
   same machine. What is opened is handed to `open`; cancelled, it is not called.

   @param task Taken.
   @param data Must live as long as `parent`.
*/
void
qf_begun_dialog_open(GtkWindow*  parent,
                     QfAnswer*   task,
                     const char* path,
                     QfBegunFunc open,
                     gpointer    data);

G_END_DECLS

#endif // QF_BEGUN_DIALOG_H
