// SPDX-License-Identifier: MIT
#ifndef QF_PRACTICE_CHART_H
#define QF_PRACTICE_CHART_H

#include "quintfall/practice.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// The share of right answers over time, a column a period
#define QF_TYPE_PRACTICE_CHART (qf_practice_chart_get_type())
G_DECLARE_FINAL_TYPE(QfPracticeChart, qf_practice_chart, QF, PRACTICE_CHART, GtkWidget)

/// @param series Copied
void
qf_practice_chart_show(QfPracticeChart* self, const QfPracticeSeries* series);

G_END_DECLS

#endif // QF_PRACTICE_CHART_H
