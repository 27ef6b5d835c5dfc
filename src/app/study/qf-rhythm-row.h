// SPDX-License-Identifier: MIT
#ifndef QF_RHYTHM_ROW_H
#define QF_RHYTHM_ROW_H

#include "quintfall/answer.h"
#include "quintfall/engrave.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   The rhythm of one voice, and under it the scratch line: shapes and degrees
   noted before the pitches.

   Values that have their note already are strong, the others faint.
*/
#define QF_TYPE_RHYTHM_ROW (qf_rhythm_row_get_type())
G_DECLARE_FINAL_TYPE(QfRhythmRow, qf_rhythm_row, QF, RHYTHM_ROW, GtkWidget)

/// Everything is lent until the next call; NULL shows nothing
void
qf_rhythm_row_show(QfRhythmRow*       self,
                   const QfEngraving* engraving,
                   const QfAnswer*    answer,
                   const QfTry*       attempt,
                   size_t             voice);

/// A contour as a sign, "↗"
const char*
qf_contour_sign(QfContour contour);

/// A contour in words, "a step up"
const char*
qf_contour_words(QfContour contour);

G_END_DECLS

#endif // QF_RHYTHM_ROW_H
