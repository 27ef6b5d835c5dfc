// SPDX-License-Identifier: MIT
#ifndef QF_PASSAGE_VIEW_H
#define QF_PASSAGE_VIEW_H

#include "chain/qf-chain-view.h"
#include "chain/qf-numeral-entry.h"
#include "qf-score-view.h"

G_BEGIN_DECLS

/**
   Score, chain and numeral entry, one under the other on one scale of time.

   It lays the score out so that every link fits under its notes, and keeps the
   caret or the playing mark in sight within its scrolled window.
*/
#define QF_TYPE_PASSAGE_VIEW (qf_passage_view_get_type())
G_DECLARE_FINAL_TYPE(QfPassageView, qf_passage_view, QF, PASSAGE_VIEW, GtkWidget)

/// Show a state of a lesson; score and labels are lent until the next call
void
qf_passage_view_show(QfPassageView*  self,
                     const QfScore*  score,
                     const QfLabels* labels,
                     QfViewSettings  view);

/// Choose the staff size anew; otherwise it only shrinks where a passage needs more height
void
qf_passage_view_fit(QfPassageView* self);

/// @param name What is at the caret, in words
void
qf_passage_view_set_caret(QfPassageView* self, size_t voice, QfTime time, const char* name);

/// Mark links as selected together, or only the caret's for SIZE_MAX
void
qf_passage_view_set_selection(QfPassageView* self, size_t first, size_t last);

void
qf_passage_view_set_playing(QfPassageView* self, gboolean is_playing, QfTime time);

/// What is under a point of the score
gboolean
qf_passage_view_hit(const QfPassageView* self, double x, double y, QfHit* hit);

QfScoreView*
qf_passage_view_get_score_view(const QfPassageView* self);

QfChainView*
qf_passage_view_get_chain_view(const QfPassageView* self);

QfNumeralEntry*
qf_passage_view_get_entry(const QfPassageView* self);

G_END_DECLS

#endif // QF_PASSAGE_VIEW_H
