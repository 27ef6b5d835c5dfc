// SPDX-License-Identifier: MIT
#ifndef QF_PLAN_STRIP_H
#define QF_PLAN_STRIP_H

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   The hearing plan while it is heard: which hearing and step, speed, loop, level.

   Its buttons call the window's actions.
*/
#define QF_TYPE_PLAN_STRIP (qf_plan_strip_get_type())
G_DECLARE_FINAL_TYPE(QfPlanStrip, qf_plan_strip, QF, PLAN_STRIP, GtkWidget)

/// Say where in the plan it is: "Hearing 2 of 5: Bass forward"
void
qf_plan_strip_set_step(QfPlanStrip* self, const char* text);

void
qf_plan_strip_set_playing(QfPlanStrip* self, gboolean is_playing);

/// Of the written tempo
void
qf_plan_strip_set_speed(QfPlanStrip* self, double factor);

/// Decibels of full scale
void
qf_plan_strip_set_level(QfPlanStrip* self, double level_db);

G_END_DECLS

#endif // QF_PLAN_STRIP_H
