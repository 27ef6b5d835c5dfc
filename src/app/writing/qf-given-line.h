// SPDX-License-Identifier: MIT
#ifndef QF_GIVEN_LINE_H
#define QF_GIVEN_LINE_H

#include "quintfall/harmonise.h"

#include <glib.h>

G_BEGIN_DECLS

/// A voice of a passage as a line to be harmonised; times count from the bar it begins in
typedef struct {
  QfGivenNote notes[QF_HARMONISE_MAX_NOTES];
  size_t      n_notes;
  gboolean    is_cut; ///< There are more notes than can be harmonised at once
  QfTime      origin; ///< Start of that bar in the passage
  QfMetre     metre;
  QfTime      pickup;
} QfGivenLine;

/// Collect the notes of a voice that begin in [start, end); a phrase ends at a fermata or a rest
void
qf_given_line_collect(QfGivenLine*   line,
                      const QfScore* score,
                      size_t         voice,
                      QfTime         start,
                      QfTime         end);

/// Numerals with bar lines, "I V65 | I" (transfer full)
char*
qf_given_line_dup_chain(const QfGivenLine* line,
                        const QfHarmony*   harmony,
                        size_t             n_links,
                        const QfScore*     score);

G_END_DECLS

#endif // QF_GIVEN_LINE_H
