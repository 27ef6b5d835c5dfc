// SPDX-License-Identifier: MIT
#ifndef QF_BRACKET_H
#define QF_BRACKET_H

#include "quintfall/label.h"
#include "quintfall/solfege.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// What a bracket holds together, in the order of their lanes downwards
typedef enum {
  QF_BRACKET_CHAIN,
  QF_BRACKET_CADENCE,
  QF_BRACKET_KEY,
} QfBracketKind;

/// A bracket under some links, with its words on a button of its own
typedef struct {
  QfBracketKind kind;
  size_t        index; ///< Among those of its kind in the labels
  size_t        first;
  size_t        last;
  int           lane;   ///< 0 nearest to the links
  GtkWidget*    button; ///< Child of the chain view
} QfBracket;

/**
   Brackets of chains, then of cadences, then of keys, in lanes where they do not overlap.

   Their buttons call the window's action `win.explain` with kind and index.

   @param old Brackets shown so far (taken), or NULL: their buttons serve again.
   @param parent Becomes the parent of the buttons.
   @param scale Of the words, 1 at the usual staff size.
   @return Array of #QfBracket (transfer full).
*/
GArray*
qf_brackets_of(const QfLabels* labels,
               GArray*         old,
               GtkWidget*      parent,
               QfNamingKind    naming,
               double          scale);

/// Unparent the buttons and free the array
void
qf_brackets_free(GArray* brackets);

int
qf_brackets_n_lanes(const GArray* brackets);

G_END_DECLS

#endif // QF_BRACKET_H
