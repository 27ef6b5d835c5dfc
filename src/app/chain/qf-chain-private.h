// SPDX-License-Identifier: MIT
#ifndef QF_CHAIN_PRIVATE_H
#define QF_CHAIN_PRIVATE_H

#include "qf-bracket.h"
#include "qf-chain-view.h"
#include "qf-join.h"
#include "qf-link-button.h"

G_BEGIN_DECLS

enum {
  QF_CHAIN_TOP = 6, ///< Room above the plates, pixels
};

struct _QfChainView {
  GtkWidget  parent_instance;
  GPtrArray* links;    ///< Of #QfLinkButton children
  GArray*    joins;    ///< Of #QfJoin, one a link
  GArray*    starts;   ///< Of double, one a link
  GArray*    brackets; ///< Of #QfBracket
  double     end;
  QfLinkRows rows;
  size_t     current;
  size_t     first; ///< Of the links selected together, or SIZE_MAX
  size_t     last;
  size_t     playing;
  double     window_x;
  double     window_width;
};

QfLinkButton*
qf_chain_link_at(const QfChainView* self, size_t index);

double
qf_chain_start_of(const QfChainView* self, size_t index);

// ---- qf-chain-layout.c

/// Height of the tallest link and of one line of words under it
void
qf_chain_find_heights(const QfChainView* self, int* link_height, int* lane_height);

/// Left and right end of a bracket
void
qf_chain_bracket_ends(const QfChainView* self,
                      const QfBracket*   bracket,
                      double*            left,
                      double*            right);

void
qf_chain_view_measure(GtkWidget*     widget,
                      GtkOrientation orientation,
                      int            for_size,
                      int*           minimum,
                      int*           natural,
                      int*           minimum_baseline,
                      int*           natural_baseline);

void
qf_chain_view_size_allocate(GtkWidget* widget, int width, int height, int baseline);

// ---- qf-chain-focus.c

gboolean
qf_chain_view_focus(GtkWidget* widget, GtkDirectionType direction);

// ---- qf-chain-paint.c

void
qf_chain_view_snapshot(GtkWidget* widget, GtkSnapshot* snapshot);

G_END_DECLS

#endif // QF_CHAIN_PRIVATE_H
