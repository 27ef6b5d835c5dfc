// SPDX-License-Identifier: MIT
#ifndef QF_LINK_BUTTON_H
#define QF_LINK_BUTTON_H

#include "common/qf-preferences.h"

#include "quintfall/label.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

/// All that the words of a link depend on
typedef struct {
  QfKey         key;
  QfNumeral     numeral;
  QfChord       chord;
  QfInterval    motion;
  QfResolution  resolution;
  QfNoteName    top;
  QfSolfegeKind solfege;
  QfNamingKind  naming;
  bool          has_next;
  bool          has_top;
  bool          is_known;
  bool          is_pinned;
  bool          is_unsure;
} QfLinkSource;

/// What one link shows: values only, so that a view can compare them cheaply
typedef struct {
  QfLinkSource source;
  size_t       index;
  QfFunction   function;
  gboolean     is_known;
  gboolean     is_pinned;
  gboolean     is_unsure;
  char         head[32];
  char         figures[16];
  char         tail[32];
  char         rows[QF_N_SHOWS][48]; ///< In order of #QfShow; empty rows are left blank
  char         spoken[512];          ///< Accessible name
} QfLinkText;

/**
   One link of the chain: a numeral in the shape of its function, rows under it.

   It paints itself, so that a long passage stays cheap. Emits "chosen" on
   click, Return or Space.
*/
#define QF_TYPE_LINK_BUTTON (qf_link_button_get_type())
G_DECLARE_FINAL_TYPE(QfLinkButton, qf_link_button, QF, LINK_BUTTON, GtkWidget)

GtkWidget*
qf_link_button_new(void);

/// Fill in what a label says, in a view's rows and names; `before` is what the link said, or NULL
void
qf_link_text_fill(QfLinkText*           text,
                  const QfLinkText*     before,
                  const QfLabel*        label,
                  size_t                index,
                  const QfNoteName*     top,
                  const QfViewSettings* view);

/// True if two links look the same, wherever in the chain they stand
gboolean
qf_link_text_looks_like(const QfLinkText* a, const QfLinkText* b);

/// Which rows stand under the plates of one chain
typedef struct {
  unsigned rows;         ///< #QfShow bits
  int      figure_lines; ///< Lines of the tallest figured bass, at least 1
  double   scale;        ///< Of all text, 1 at the usual staff size
} QfLinkRows;

void
qf_link_button_set_text(QfLinkButton* self, const QfLinkText* text, QfLinkRows rows);

const QfLinkText*
qf_link_button_get_text(const QfLinkButton* self);

/// Heading of a row, "Chord"
const char*
qf_link_row_name(int row);

size_t
qf_link_button_get_index(const QfLinkButton* self);

void
qf_link_button_set_state(QfLinkButton* self, gboolean is_selected, gboolean is_playing);

/// Height of the numeral's plate, for joins and headings
int
qf_link_button_get_plate_height(const QfLinkButton* self);

int
qf_link_button_get_plate_width(const QfLinkButton* self);

/// Middle of the first line of a row under the plate, 0 the first #QfShow
int
qf_link_button_get_row_middle(const QfLinkButton* self, int row);

G_END_DECLS

#endif // QF_LINK_BUTTON_H
