// SPDX-License-Identifier: MIT
#ifndef QF_MAKE_DIALOG_H
#define QF_MAKE_DIALOG_H

#include "quintfall/lesson.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// Takes a made exercise as the open lesson; `lesson` is taken
typedef void (*QfMakeOpen)(QfLesson* lesson, gpointer data);

/// Show the exercise maker: one exercise to open, or a set written into a folder
void
qf_make_dialog_present(GtkWindow* parent, QfMakeOpen open, gpointer data);

G_END_DECLS

#endif // QF_MAKE_DIALOG_H
