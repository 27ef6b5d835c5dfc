// SPDX-License-Identifier: MIT
#ifndef QF_PASSAGE_PRIVATE_H
#define QF_PASSAGE_PRIVATE_H

#include "qf-passage-view.h"

#include "quintfall/engrave.h"

G_BEGIN_DECLS

enum {
  QF_PASSAGE_GAP = 8, ///< Between score, chain and entry, pixels
};

struct _QfPassageView {
  GtkWidget       parent_instance;
  QfScoreView*    score_view; ///< Child
  QfChainView*    chain_view; ///< Child
  QfNumeralEntry* entry;      ///< Child
  QfEngraving*    engraving;  ///< Owned
  const QfScore*  score;      ///< Lent by the lesson
  const QfLabels* labels;     ///< Lent by the lesson
  QfViewSettings  view;
  QfMarks         marks;
  size_t          first_selected; ///< SIZE_MAX: only the caret's link
  size_t          last_selected;
  double          space;
  GtkAdjustment*  horizontal; ///< Of the scrolled window around, owned reference
  GtkAdjustment*  vertical;
  int             entry_y; ///< Top of the entry, once it was placed
  guint           refit_idle;
  gboolean        may_grow;  ///< While a passage is written, its staves only get smaller
  double          last_page; ///< Height of the window when the staves were last fitted
};

// ---- qf-passage-view.c

/// Engrave the staves anew and put the chain under them
void
qf_passage_lay_out(QfPassageView* self);

double
qf_passage_x_of(const QfPassageView* self, QfTime time);

// ---- qf-passage-fit.c

int
qf_passage_natural_height(GtkWidget* widget);

/// Fit the staves to the window once nothing else is to do
void
qf_passage_schedule_refit(QfPassageView* self);

void
qf_passage_height_changed(QfPassageView* self);

// ---- qf-passage-place.c

/// Put the entry where caret and window want it; they change more often than the layout
void
qf_passage_place_entry(QfPassageView* self);

/// Scroll so that a place stands well inside the window
void
qf_passage_keep_in_sight(QfPassageView* self, double x);

/// Let go of the scrolled window around
void
qf_passage_leave_window(QfPassageView* self);

/// Scroll up to the staves, or down to the entry, when they get the keyboard
void
qf_passage_follow_focus(QfPassageView* self);

void
qf_passage_view_measure(GtkWidget*     widget,
                        GtkOrientation orientation,
                        int            for_size,
                        int*           minimum,
                        int*           natural,
                        int*           minimum_baseline,
                        int*           natural_baseline);

void
qf_passage_view_size_allocate(GtkWidget* widget, int width, int height, int baseline);

void
qf_passage_view_root(GtkWidget* widget);

G_END_DECLS

#endif // QF_PASSAGE_PRIVATE_H
