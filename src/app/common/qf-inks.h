// SPDX-License-Identifier: MIT
#ifndef QF_INKS_H
#define QF_INKS_H

#include "quintfall/engrave.h"
#include "quintfall/numeral.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

enum {
  QF_N_FUNCTIONS = 4,
};

/// All colours drawn by hand, for the present light, dark or high-contrast style
typedef struct {
  QfInks   page;
  QfColour functions[QF_N_FUNCTIONS]; ///< By #QfFunction
  QfColour paper;                     ///< Behind the staves
  QfColour window;                    ///< Behind everything else
  gboolean has_high_contrast;
} QfPalette;

QfPalette
qf_palette_now(void);

GdkRGBA
qf_colour_to_rgba(QfColour colour);

/// The same colour, more transparent
QfColour
qf_colour_fade(QfColour colour, double alpha);

void
qf_colour_set_source(QfColour colour, cairo_t* cr);

G_END_DECLS

#endif // QF_INKS_H
