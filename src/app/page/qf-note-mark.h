// SPDX-License-Identifier: MIT
#ifndef QF_NOTE_MARK_H
#define QF_NOTE_MARK_H

#include "common/qf-inks.h"

#include "quintfall/engrave.h"
#include "quintfall/rules.h"

G_BEGIN_DECLS

/// A note outside its chord, with the sign set beside it
typedef struct {
  uint32_t      note;
  QfTime        time; ///< Start of its link
  QfForeignKind kind;
} QfNoteSign;

/// A note that a finding is about, with a ring around it
typedef struct {
  uint32_t   note;
  QfTime     from; ///< Of the finding
  QfTime     to;
  QfSeverity severity;
  gboolean   is_chosen;
} QfNoteRing;

/// Notes outside their chords, in order of time (transfer full)
GArray*
qf_note_signs_of(const QfLabels* labels);

/// Kind of a note in the link at a time; false if it belongs to the chord there
gboolean
qf_note_find_kind(const QfLabels* labels, QfTime time, uint32_t note, QfForeignKind* kind);

/// Part of the staves that is painted, in pixels
typedef struct {
  double left;
  double right;
} QfPaintedPart;

void
qf_note_signs_paint(const GArray*      signs,
                    const QfEngraving* engraving,
                    QfPaintedPart      part,
                    GtkWidget*         widget,
                    cairo_t*           cr,
                    const QfPalette*   palette);

void
qf_note_rings_paint(const GArray*      rings,
                    const QfEngraving* engraving,
                    QfPaintedPart      part,
                    cairo_t*           cr,
                    const QfPalette*   palette);

/// A frame with square corners behind each note that is given; findings have round rings
void
qf_given_notes_paint(const GArray*      notes,
                     const QfEngraving* engraving,
                     QfPaintedPart      part,
                     cairo_t*           cr,
                     const QfPalette*   palette);

G_END_DECLS

#endif // QF_NOTE_MARK_H
