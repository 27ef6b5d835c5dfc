// SPDX-License-Identifier: MIT
#ifndef QF_STUDY_WINDOW_H
#define QF_STUDY_WINDOW_H

#include "qf-answer-item.h"

#include "common/qf-preferences.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// A dictation being taken: only the givens, what is written, questions, the result
#define QF_TYPE_STUDY_WINDOW (qf_study_window_get_type())
G_DECLARE_FINAL_TYPE(QfStudyWindow, qf_study_window, QF, STUDY_WINDOW, AdwApplicationWindow)

/// @param item A reference is taken
QfStudyWindow*
qf_study_window_new(GtkApplication* application, QfPreferences* preferences, QfAnswerItem* item);

/// The window in which the answer of a file is open already, or NULL
QfStudyWindow*
qf_study_window_find(GtkApplication* application, const char* path);

/// Show the result of the last attempt to the teacher, who may see it in any case
void
qf_study_window_review(QfStudyWindow* self);

G_END_DECLS

#endif // QF_STUDY_WINDOW_H
