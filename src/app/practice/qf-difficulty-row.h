// SPDX-License-Identifier: MIT
#ifndef QF_DIFFICULTY_ROW_H
#define QF_DIFFICULTY_ROW_H

#include "quintfall/exercise.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// A row that tells a difficulty, and opens to show the parts it is the sum of
GtkWidget*
qf_difficulty_row_new(const QfDifficulty* difficulty);

G_END_DECLS

#endif // QF_DIFFICULTY_ROW_H
