// SPDX-License-Identifier: MIT
#ifndef QF_CHORD_ROW_H
#define QF_CHORD_ROW_H

#include "quintfall/answer.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
   A cell for each chord of a dictation: its quality, its numeral, and a doubt mark.

   It changes nothing itself. Signals: "quality" (cell, #QfChordKind or -1 to
   take it away), "numeral" (cell, text), "doubt" (cell, is doubtful),
   "entered" (cell) when a cell gets the keyboard.
*/
#define QF_TYPE_CHORD_ROW (qf_chord_row_get_type())
G_DECLARE_FINAL_TYPE(QfChordRow, qf_chord_row, QF, CHORD_ROW, GtkWidget)

/**
   Make the cells.

   @param places Accessible name of each cell's place, ended by NULL.
   @param has_qualities Whether qualities are asked for, and so on.
*/
void
qf_chord_row_set_places(QfChordRow*        self,
                        const char* const* places,
                        gboolean           has_qualities,
                        gboolean           has_numerals);

/// Fill a cell; NULL empties it. Emits nothing, and leaves what is being typed alone
void
qf_chord_row_fill(QfChordRow* self, guint cell, const QfAnswerChord* chord);

/// Left edges of the cells, as many as there are
void
qf_chord_row_place(QfChordRow* self, const double* starts);

/// Least distance of a cell from the next
int
qf_chord_row_get_pitch(QfChordRow* self, guint cell);

void
qf_chord_row_focus_quality(QfChordRow* self, guint cell);

void
qf_chord_row_focus_numeral(QfChordRow* self, guint cell);

G_END_DECLS

#endif // QF_CHORD_ROW_H
