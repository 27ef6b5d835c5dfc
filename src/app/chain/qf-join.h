// SPDX-License-Identifier: MIT
#ifndef QF_JOIN_H
#define QF_JOIN_H

#include "common/qf-inks.h"

#include "quintfall/label.h"

G_BEGIN_DECLS

/// How two links are joined
typedef enum {
  QF_JOIN_NONE,
  QF_JOIN_SOLID,  ///< A falling fifth that was not led astray
  QF_JOIN_OPEN,   ///< The expected resolution was deflected or deceived
  QF_JOIN_PLAIN,  ///< Any other motion
  QF_JOIN_DOTTED, ///< The same function goes on
} QfJoinKind;

typedef struct {
  QfJoinKind kind;
  char       text[16]; ///< Root motion, such as "↓5"
} QfJoin;

QfJoin
qf_join_of(const QfLabel* label);

void
qf_join_paint(cairo_t*         cr,
              QfJoinKind       kind,
              double           from,
              double           to,
              double           y,
              double           thickness,
              const QfPalette* palette);

G_END_DECLS

#endif // QF_JOIN_H
