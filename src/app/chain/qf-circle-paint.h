// SPDX-License-Identifier: MIT
#ifndef QF_CIRCLE_PAINT_H
#define QF_CIRCLE_PAINT_H

#include "quintfall/numeral.h"
#include "quintfall/solfege.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// One link as the circle sees it
typedef struct {
  QfNoteName root;
  QfKey      key;
  QfFunction function;
  gboolean   is_known;
  gboolean   is_kept;     ///< The root falls a fifth to the next link
  char       head[32];    ///< Degree and quality
  char       figures[16]; ///< In one line: "65"
  char       tail[96];    ///< Applied target with its slash, or empty
} QfCircleStep;

/// A path over the circle of fifths
typedef struct {
  GArray*      steps; ///< Of #QfCircleStep, one a link
  QfNamingKind naming;
  size_t       current; ///< Link at the caret, or SIZE_MAX
  size_t       playing; ///< Link that sounds, or SIZE_MAX
  size_t       centre;  ///< Link a long path is shown around
} QfCirclePath;

/// Links to show: all, or some around the one that matters now; `last` is one past
void
qf_circle_path_window(const QfCirclePath* path, size_t* first, size_t* last);

/// @param widget Gives the fonts
void
qf_circle_paint(const QfCirclePath* path,
                GtkWidget*          widget,
                cairo_t*            cr,
                double              width,
                double              height);

G_END_DECLS

#endif // QF_CIRCLE_PAINT_H
