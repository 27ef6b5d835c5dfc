// SPDX-License-Identifier: MIT
#ifndef QF_EXPORT_H
#define QF_EXPORT_H

#include "quintfall/document.h"

#include <gio/gio.h>

G_BEGIN_DECLS

/**
   An export that runs beside the window, on a copy of the lesson.

   Rendering sound takes a while; the copy keeps edits and export apart.
*/
typedef struct QfExportImpl QfExport;

/// Told in the window's thread: `error` is NULL for success
typedef void (*QfExportDone)(const char* path, const QfError* error, gpointer data);

/**
   Start.

   @param[out] error Says why no copy could be made; then NULL is returned.
*/
QfExport*
qf_export_start(const QfLesson* lesson,
                const char*     path,
                QfExportOptions options,
                QfExportDone    done,
                gpointer        data,
                QfError*        error);

/// 0-1
double
qf_export_get_progress(QfExport* self);

void
qf_export_cancel(QfExport* self);

/// Cancels if it still runs; `done` is not called any more
void
qf_export_free(QfExport* self);

G_END_DECLS

#endif // QF_EXPORT_H
