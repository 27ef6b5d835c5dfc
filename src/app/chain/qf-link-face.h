// SPDX-License-Identifier: MIT
#ifndef QF_LINK_FACE_H
#define QF_LINK_FACE_H

#include "common/qf-inks.h"
#include "qf-link-button.h"

G_BEGIN_DECLS

enum {
  QF_LINK_HEAD,
  QF_LINK_FIGURES,
  QF_LINK_TAIL,
  QF_LINK_ROWS, ///< First of #QF_N_SHOWS
  QF_LINK_N_LAYOUTS = QF_LINK_ROWS + QF_N_SHOWS,
};

/// The words of a link, laid out in the fonts in force; sizes in pixels
typedef struct {
  PangoLayout* layouts[QF_LINK_N_LAYOUTS]; ///< Owned; those of hidden rows are NULL
  int          plate_width;
  int          plate_height;
  int          pad; ///< Room for the plate's slanted ends
  int          row_height;
  int          width;
  int          height;
} QfLinkFace;

/// Lay the words out, unless they are
void
qf_link_face_lay_out(QfLinkFace*       face,
                     GtkWidget*        widget,
                     const QfLinkText* text,
                     const QfLinkRows* rows);

/// Forget the layouts, because words or fonts have changed
void
qf_link_face_clear(QfLinkFace* face);

gboolean
qf_link_rows_has(const QfLinkRows* rows, int row);

/// Lines that a row takes in every link of the chain
int
qf_link_rows_lines(const QfLinkRows* rows, int row);

/// The numeral inside its plate: head, stacked figures, tail
void
qf_link_face_append_numeral(const QfLinkFace* face,
                            const QfLinkText* text,
                            GtkSnapshot*      snapshot,
                            QfColour          ink);

void
qf_link_face_append_rows(const QfLinkFace* face,
                         const QfLinkRows* rows,
                         GtkSnapshot*      snapshot,
                         QfColour          ink);

G_END_DECLS

#endif // QF_LINK_FACE_H
