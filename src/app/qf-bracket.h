// SPDX-License-Identifier: MIT
#ifndef QF_BRACKET_H
#define QF_BRACKET_H

#include "quintfall/label.h"
#include "quintfall/solfege.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// A bracket under some links, with its words in a label of its own
typedef struct {
  size_t     first;
  size_t     last;
  int        lane; ///< 0 nearest to the links
  gboolean   is_key;
  GtkWidget* label; ///< Child of the chain view
} QfBracket;

/**
   Brackets of chains, then of keys, in lanes where they do not overlap.

   @param old Brackets shown so far (taken), or NULL: their labels serve again.
   @param parent Becomes the parent of the labels.
   @param scale Of the words, 1 at the usual staff size.
   @return Array of #QfBracket (transfer full).
*/
GArray*
qf_brackets_of(const QfLabels* labels,
               GArray*         old,
               GtkWidget*      parent,
               QfNamingKind    naming,
               double          scale);

/// Unparent the labels and free the array
void
qf_brackets_free(GArray* brackets);

int
qf_brackets_n_lanes(const GArray* brackets);

G_END_DECLS

#endif // QF_BRACKET_H
