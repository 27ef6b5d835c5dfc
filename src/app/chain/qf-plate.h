// SPDX-License-Identifier: MIT
#ifndef QF_PLATE_H
#define QF_PLATE_H

#include "common/qf-inks.h"

G_BEGIN_DECLS

/**
   The shape a numeral stands in.

   The shape tells the function, so that colour only repeats it: a tonic rests
   in a rounded field, a predominant leans forward, a dominant points on, an
   applied chord points on from a notch.
*/
typedef struct {
  double     width;
  double     height;
  double     pad; ///< Depth of slants, points and notches
  QfFunction function;
  gboolean   is_known;
  gboolean   is_pinned;
  gboolean   is_selected;
  gboolean   is_playing;
  gboolean   is_focused;
} QfPlate;

void
qf_plate_paint(cairo_t* cr, QfPlate plate, const QfPalette* palette);

/// Only the outline, for keys to the shapes
void
qf_plate_path(cairo_t* cr, QfFunction function, double width, double height, double pad);

G_END_DECLS

#endif // QF_PLATE_H
