// SPDX-License-Identifier: MIT
#ifndef QF_EXPORT_H
#define QF_EXPORT_H

#include "quintfall/recordings.h"

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

/**
   Start recording a hearing plan.

   @param path A sound file for all of it, or a folder for a file a hearing.
   @param is_split True for a folder.
   @param options Its texts and plan are copied.
   @param[out] error Says why no copy could be made; then NULL is returned.
*/
QfExport*
qf_export_start_recording(const QfLesson* lesson,
                          const char*     path,
                          gboolean        is_split,
                          QfRecordOptions options,
                          QfExportDone    done,
                          gpointer        data,
                          QfError*        error);

/// What was left out, one a line, or NULL; once it is done (transfer none)
const char*
qf_export_get_remarks(const QfExport* self);

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
