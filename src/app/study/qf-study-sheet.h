// SPDX-License-Identifier: MIT
#ifndef QF_STUDY_SHEET_H
#define QF_STUDY_SHEET_H

#include "qf-chord-row.h"

#include "page/qf-score-view.h"

G_BEGIN_DECLS

/**
   The page a dictation is written on: staves, the rhythm of the voice being
   written, the scratch line, and a cell for each chord, on one scale of time.

   Where the task shows the rhythm, room is kept for the notes to come.
*/
#define QF_TYPE_STUDY_SHEET (qf_study_sheet_get_type())
G_DECLARE_FINAL_TYPE(QfStudySheet, qf_study_sheet, QF, STUDY_SHEET, GtkWidget)

/// What is shown beside the answer itself
typedef struct {
  size_t       voice; ///< Whose rhythm and scratch marks are shown
  QfTime       caret;
  QfNamingKind naming;
  double       zoom;
  double       room; ///< Height to be fitted into if that is possible, pixels; 0 for any
} QfSheetView;

/**
   Show an attempt.

   @param answer Lent until the next call.
   @param attempt Of this answer, or NULL for the frame alone.
   @param name What is at the caret, in words.
*/
void
qf_study_sheet_show(QfStudySheet*   self,
                    const QfAnswer* answer,
                    const QfTry*    attempt,
                    QfSheetView     view,
                    const char*     name);

void
qf_study_sheet_set_playing(QfStudySheet* self, gboolean is_playing, QfTime time);

/// Starts of the chord cells, in order
size_t
qf_study_sheet_n_spans(const QfStudySheet* self);

QfTime
qf_study_sheet_get_span(const QfStudySheet* self, size_t index);

gboolean
qf_study_sheet_hit(const QfStudySheet* self, double x, double y, QfHit* hit);

/// Where a time stands
double
qf_study_sheet_x_of(const QfStudySheet* self, QfTime time);

QfScoreView*
qf_study_sheet_get_score_view(const QfStudySheet* self);

QfChordRow*
qf_study_sheet_get_chord_row(const QfStudySheet* self);

G_END_DECLS

#endif // QF_STUDY_SHEET_H
