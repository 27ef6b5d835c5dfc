// SPDX-License-Identifier: MIT
#include "qf-join.h"

#include <stdlib.h>

static QfJoinKind
kind_of(const QfLabel* const label)
{
  if (label->resolution == QF_RESOLUTION_DEFLECTED ||
      label->resolution == QF_RESOLUTION_DECEPTIVE) {
    return QF_JOIN_OPEN;
  }

  return label->resolution == QF_RESOLUTION_PROLONGED       ? QF_JOIN_DOTTED
         : qf_root_motion_is_falling_fifth(label->motion)   ? QF_JOIN_SOLID
         : !label->motion.steps && !label->motion.semitones ? QF_JOIN_DOTTED
                                                            : QF_JOIN_PLAIN;
}

/// The shortest way from root to root, as an arrow and the size of the interval
static void
write_motion(const QfInterval motion, char* const text, const size_t size)
{
  // By ascending steps 0-6. Common practice: a root that rises a fourth falls a fifth.
  static const char* const words[7] = {"=", "↑2", "↑3", "↓5", "↑5", "↓3", "↓2"};
  // Common practice: d5 is the diminished fifth, A1 the augmented unison.
  const int  steps      = ((motion.steps % 7) + 7) % 7;
  const int  semitones  = ((motion.semitones % 12) + 12) % 12;
  const bool is_tritone = (steps == 3 || steps == 4) && semitones == 6;

  if (is_tritone) {
    g_strlcpy(text, steps == 3 ? "↓d5" : "↑d5", size);
  } else if (!steps && semitones) {
    g_strlcpy(text, semitones < 6 ? "↑A1" : "↓A1", size);
  } else {
    g_strlcpy(text, words[steps], size);
  }
}

QfJoin
qf_join_of(const QfLabel* const label)
{
  QfJoin join = {QF_JOIN_NONE, ""};

  if (label->has_next && label->is_known) {
    join.kind = kind_of(label);
    write_motion(label->motion, join.text, sizeof(join.text));
  }

  return join;
}

void
qf_join_paint(cairo_t* const         cr,
              const QfJoinKind       kind,
              const double           from,
              const double           to,
              const double           y,
              const double           thickness,
              const QfPalette* const palette)
{
  const double dots[] = {thickness * 0.5, thickness};

  qf_colour_set_source(palette->page.ink, cr);
  cairo_set_line_cap(cr, CAIRO_LINE_CAP_BUTT);

  switch (kind) {
    case QF_JOIN_NONE:
      return;
    case QF_JOIN_SOLID:
      cairo_rectangle(cr, from, y - thickness / 2.0, to - from, thickness);
      cairo_fill(cr);
      return;
    case QF_JOIN_OPEN:
      cairo_set_line_width(cr, 1.4);
      cairo_rectangle(cr, from + 0.7, y - thickness / 2.0 - 0.7, MAX(2.0, to - from - 1.4),
                      thickness + 1.4);
      cairo_stroke(cr);
      return;
    case QF_JOIN_DOTTED:
      cairo_set_dash(cr, dots, 2, 0);
      break;
    case QF_JOIN_PLAIN:
      break;
  }

  cairo_set_line_width(cr, 1.6);
  cairo_move_to(cr, from, y);
  cairo_line_to(cr, to, y);
  cairo_stroke(cr);
  cairo_set_dash(cr, NULL, 0, 0);
}
