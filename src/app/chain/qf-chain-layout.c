// SPDX-License-Identifier: MIT
#include "qf-chain-private.h"

#include <math.h>

enum {
  LANE_SPACE = 8, ///< Room for a bracket's line above its words
};

void
qf_chain_find_heights(const QfChainView* const self, int* const link_height, int* const lane_height)
{
  *link_height = 0;
  *lane_height = 0;
  if (self->links->len) {
    gtk_widget_measure(GTK_WIDGET(qf_chain_link_at(self, 0)), GTK_ORIENTATION_VERTICAL, -1,
                       link_height, NULL, NULL, NULL);
  }
  if (self->brackets && self->brackets->len) {
    GtkWidget* const button = g_array_index(self->brackets, QfBracket, 0).button;
    gtk_widget_measure(button, GTK_ORIENTATION_VERTICAL, -1, NULL, lane_height, NULL, NULL);
    *lane_height += LANE_SPACE;
  }
}

void
qf_chain_view_measure(GtkWidget* const     widget,
                      const GtkOrientation orientation,
                      const int            for_size,
                      int* const           minimum,
                      int* const           natural,
                      int* const           minimum_baseline,
                      int* const           natural_baseline)
{
  QfChainView* const self        = QF_CHAIN_VIEW(widget);
  int                link_height = 0;
  int                lane_height = 0;

  (void)for_size;
  qf_chain_find_heights(self, &link_height, &lane_height);
  const int lanes = self->brackets ? qf_brackets_n_lanes(self->brackets) : 0;
  *minimum = *natural = orientation == GTK_ORIENTATION_HORIZONTAL
                          ? (int)ceil(self->end)
                          : QF_CHAIN_TOP + link_height + lanes * lane_height + QF_CHAIN_TOP;
  *minimum_baseline = *natural_baseline = -1;
}

void
qf_chain_bracket_ends(const QfChainView* const self,
                      const QfBracket* const   bracket,
                      double* const            left,
                      double* const            right)
{
  int width = 0;
  gtk_widget_measure(GTK_WIDGET(qf_chain_link_at(self, bracket->last)), GTK_ORIENTATION_HORIZONTAL,
                     -1, &width, NULL, NULL, NULL);
  *left  = qf_chain_start_of(self, bracket->first);
  *right = qf_chain_start_of(self, bracket->last) + width;
}

/// Where the next bracket of the same lane begins, or the passage's end
static double
next_in_lane(const QfChainView* const self, const QfBracket* const bracket)
{
  double next = self->end;

  for (guint i = 0; i < self->brackets->len; ++i) {
    const QfBracket* const other = &g_array_index(self->brackets, QfBracket, i);
    if (other->lane == bracket->lane && other->first > bracket->first) {
      next = MIN(next, qf_chain_start_of(self, other->first));
    }
  }

  return next;
}

/**
   Put the words under their brackets.

   They may run past a short bracket where the lane is free, and stay in sight
   while a part of their bracket is.
*/
static void
allocate_brackets(QfChainView* const self, const int top, const int lane_height)
{
  for (guint i = 0; self->brackets && i < self->brackets->len; ++i) {
    const QfBracket* const bracket = &g_array_index(self->brackets, QfBracket, i);
    double                 left = 0.0, right = 0.0;
    int                    minimum = 0, natural = 0;

    qf_chain_bracket_ends(self, bracket, &left, &right);
    gtk_widget_measure(bracket->button, GTK_ORIENTATION_HORIZONTAL, -1, &minimum, &natural, NULL,
                       NULL);
    const double sight = MIN(self->window_x, right - natural - 8.0);
    const double x     = MAX(left, sight);
    const double room  = MAX(right, next_in_lane(self, bracket)) - x;

    const GtkAllocation area = {(int)x + 4, top + bracket->lane * lane_height + LANE_SPACE,
                                CLAMP((int)room - 8, minimum, MAX(minimum, natural)),
                                lane_height - LANE_SPACE};
    gtk_widget_size_allocate(bracket->button, &area, -1);
  }
}

void
qf_chain_view_set_window(QfChainView* const self, const double x, const double width)
{
  if (x != self->window_x || width != self->window_width) {
    self->window_x     = x;
    self->window_width = width;
    // Only the words under the brackets move; asking for an allocation here could come
    // in the middle of one.
    if (gtk_widget_get_width(GTK_WIDGET(self)) > 0) {
      int link_height = 0, lane_height = 0;
      qf_chain_find_heights(self, &link_height, &lane_height);
      allocate_brackets(self, QF_CHAIN_TOP + link_height, lane_height);
    }
    gtk_widget_queue_draw(GTK_WIDGET(self));
  }
}

void
qf_chain_view_size_allocate(GtkWidget* const widget,
                            const int        width,
                            const int        height,
                            const int        baseline)
{
  QfChainView* const self        = QF_CHAIN_VIEW(widget);
  int                link_height = 0;
  int                lane_height = 0;

  (void)width;
  (void)height;
  (void)baseline;
  qf_chain_find_heights(self, &link_height, &lane_height);
  for (guint i = 0; i < self->links->len; ++i) {
    GtkWidget* const button     = GTK_WIDGET(qf_chain_link_at(self, i));
    int              link_width = 0;
    gtk_widget_measure(button, GTK_ORIENTATION_HORIZONTAL, -1, &link_width, NULL, NULL, NULL);
    const GtkAllocation area = {(int)qf_chain_start_of(self, i), QF_CHAIN_TOP, link_width,
                                link_height};
    gtk_widget_size_allocate(button, &area, -1);
  }

  allocate_brackets(self, QF_CHAIN_TOP + link_height, lane_height);
}
