// SPDX-License-Identifier: MIT
#ifndef QF_MAKE_FORM_H
#define QF_MAKE_FORM_H

#include "quintfall/workbook.h"

#include <adwaita.h>

G_BEGIN_DECLS

/// The rows in which an exercise, or a set of them, is described
typedef struct QfMakeForm QfMakeForm;

/// Add the rows to a page; (transfer full) they must not outlive it
QfMakeForm*
qf_make_form_new(AdwPreferencesPage* page);

void
qf_make_form_free(QfMakeForm* self);

/// What the rows say; a fault names the row that has to be mended
QfStatus
qf_make_form_read(const QfMakeForm* self, QfExerciseOptions* options, QfError* error);

/// The same with the count and parts of a set, everything else as usual
QfStatus
qf_make_form_read_set(const QfMakeForm* self, QfWorkbookOptions* options, QfError* error);

/// Go on to the next seed, so that the next exercise is another one
void
qf_make_form_next_seed(QfMakeForm* self);

G_END_DECLS

#endif // QF_MAKE_FORM_H
