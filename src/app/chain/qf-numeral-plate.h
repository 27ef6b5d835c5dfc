// SPDX-License-Identifier: MIT
#ifndef QF_NUMERAL_PLATE_H
#define QF_NUMERAL_PLATE_H

#include "quintfall/label.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// A numeral in the shape of its function, as the chain shows it, and the join that leads to it
#define QF_TYPE_NUMERAL_PLATE (qf_numeral_plate_get_type())
G_DECLARE_FINAL_TYPE(QfNumeralPlate, qf_numeral_plate, QF, NUMERAL_PLATE, GtkWidget)

/// `motion` and `resolution` are those of the step that leads to the numeral
GtkWidget*
qf_numeral_plate_new(const QfNumeral* numeral,
                     QfMode           mode,
                     QfInterval       motion,
                     QfResolution     resolution);

G_END_DECLS

#endif // QF_NUMERAL_PLATE_H
