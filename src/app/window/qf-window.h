// SPDX-License-Identifier: MIT
#ifndef QF_WINDOW_H
#define QF_WINDOW_H

#include "common/qf-preferences.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// The window of one lesson
#define QF_TYPE_WINDOW (qf_window_get_type())
G_DECLARE_FINAL_TYPE(QfWindow, qf_window, QF, WINDOW, AdwApplicationWindow)

QfWindow*
qf_window_new(GtkApplication* application, QfPreferences* preferences);

/// Open a file, after asking about unsaved changes; says in a message what went wrong
void
qf_window_open_path(QfWindow* self, const char* path);

/// Open one of the lessons that come with the program, "lantern-walk"
void
qf_window_open_demo(QfWindow* self, const char* name);

/// Offer what a program that ended too early left behind, if there is anything
void
qf_window_offer_recovery(QfWindow* self);

G_END_DECLS

#endif // QF_WINDOW_H
