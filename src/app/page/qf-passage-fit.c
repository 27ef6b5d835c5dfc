// SPDX-License-Identifier: MIT
#include "qf-passage-private.h"

#include <math.h>

static const double least_space    = 6.5;   ///< Distance of staff lines, pixels
static const double spaces_across  = 100.0; ///< Staff spaces the width holds, for some bars at once
static const double greatest_space = 26.0;

int
qf_passage_natural_height(GtkWidget* const widget)
{
  int natural = 0;
  gtk_widget_measure(widget, GTK_ORIENTATION_VERTICAL, -1, NULL, &natural, NULL, NULL);
  return natural;
}

/// Staff size at which the passage would fill the height there is
static double
fitting_space(const QfPassageView* const self)
{
  double width = 0.0, height = 0.0;

  qf_engraving_get_size(self->engraving, &width, &height);
  const double page   = gtk_adjustment_get_page_size(self->vertical);
  const double across = gtk_adjustment_get_page_size(self->horizontal) / spaces_across;
  const double fixed  = qf_passage_natural_height(GTK_WIDGET(self->entry)) + 3.0 * QF_PASSAGE_GAP;
  const double growing =
    height / self->view.zoom + qf_passage_natural_height(GTK_WIDGET(self->chain_view));
  const double fitting = self->space * (page - fixed) / MAX(1.0, growing);

  return CLAMP(MIN(fitting, across), least_space, greatest_space);
}

/// The height does not grow quite evenly with the staff size, so it is tried more than once
static gboolean
refit_cb(gpointer data)
{
  QfPassageView* const self = data;

  self->refit_idle = 0;
  if (!self->engraving || !self->vertical || gtk_adjustment_get_page_size(self->vertical) <= 1.0) {
    return G_SOURCE_REMOVE;
  }

  for (int trial = 0; trial < 3; ++trial) {
    const double space = fitting_space(self);
    if (fabs(space - self->space) <= 0.02 * self->space ||
        (space > self->space && !self->may_grow)) {
      break;
    }
    self->space = space;
    qf_passage_lay_out(self);
  }

  self->may_grow = FALSE;
  return G_SOURCE_REMOVE;
}

void
qf_passage_schedule_refit(QfPassageView* const self)
{
  if (!self->refit_idle) {
    self->refit_idle = g_idle_add(refit_cb, self);
  }
}

void
qf_passage_view_fit(QfPassageView* const self)
{
  self->may_grow = TRUE;
  qf_passage_schedule_refit(self);
}

void
qf_passage_height_changed(QfPassageView* const self)
{
  const double page = gtk_adjustment_get_page_size(self->vertical);
  self->may_grow    = self->may_grow || page != self->last_page;
  self->last_page   = page;
  qf_passage_schedule_refit(self);
}
