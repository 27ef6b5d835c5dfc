// SPDX-License-Identifier: MIT
#ifndef QF_HEARING_BAR_H
#define QF_HEARING_BAR_H

#include "quintfall/hearing.h"
#include "quintfall/score.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   How the passage is heard: transport, what is forward, tempo, times, level.

   Signals: "changed" when the user changed the plan, "level-changed" for the
   overall level alone. The transport buttons call the window's actions.
*/
#define QF_TYPE_HEARING_BAR (qf_hearing_bar_get_type())
G_DECLARE_FINAL_TYPE(QfHearingBar, qf_hearing_bar, QF, HEARING_BAR, GtkWidget)

/// Show a plan for a score, whose voices can be brought forward; emits nothing
void
qf_hearing_bar_set_hearing(QfHearingBar* self, QfHearing hearing, const QfScore* score);

/// The plan as shown
QfHearing
qf_hearing_bar_get_hearing(const QfHearingBar* self);

void
qf_hearing_bar_set_level(QfHearingBar* self, double level_db);

double
qf_hearing_bar_get_level(const QfHearingBar* self);

/// SoundFont whose instruments are offered; NULL for the system's
void
qf_hearing_bar_set_soundfont(QfHearingBar* self, const char* path);

/// Open the levels of what is forward
void
qf_hearing_bar_show_levels(QfHearingBar* self);

/// Choose what is forward as the user would: 0 balanced, 1 ... the voices, then quality
void
qf_hearing_bar_choose_forward(QfHearingBar* self, guint choice);

void
qf_hearing_bar_set_playing(QfHearingBar* self, gboolean is_playing);

G_END_DECLS

#endif // QF_HEARING_BAR_H
