// SPDX-License-Identifier: MIT
#include "qf-export.h"

#include <stdlib.h>
#include <string.h>

struct QfExportImpl {
  gatomicrefcount references; ///< The window and the thread hold one each
  QfLesson*       lesson;     ///< Owned copy; the thread's own while it runs
  char*           path;
  QfExportOptions options;
  gboolean        is_recording;
  gboolean        is_split;
  QfRecordOptions record; ///< Points to the three below
  QfPlan*         plan;
  char*           folder;
  char*           soundfont;
  char*           remarks;
  QfExportDone    done; ///< NULL once the window has let go
  gpointer        data;
  gint            per_mille;    ///< Atomic
  gint            is_cancelled; ///< Atomic
  QfError         error;
  QfStatus        status;
};

static void
unref(QfExport* const self)
{
  if (g_atomic_ref_count_dec(&self->references)) {
    qf_lesson_free(self->lesson);
    g_free(self->path);
    qf_plan_free(self->plan);
    g_free(self->folder);
    g_free(self->soundfont);
    free(self->remarks);
    g_free(self);
  }
}

static bool
progress_cb(const double done, void* const data)
{
  QfExport* const self = data;
  g_atomic_int_set(&self->per_mille, (gint)(done * 1000.0));
  return !g_atomic_int_get(&self->is_cancelled);
}

static gboolean
finished_cb(gpointer data)
{
  QfExport* const    self = data;
  const QfExportDone tell = self->done;

  self->done = NULL;
  if (tell) {
    tell(self->path, self->status ? &self->error : NULL, self->data);
  }

  unref(self);
  return G_SOURCE_REMOVE;
}

static QfStatus
record(QfExport* const self)
{
  return self->is_split ? qf_document_record_hearings(self->lesson, self->path, self->record,
                                                      &self->remarks, &self->error)
                        : qf_document_record_whole(self->lesson, self->path, self->record,
                                                   &self->remarks, &self->error);
}

static gpointer
run(gpointer data)
{
  QfExport* const self = data;

  if (self->is_recording) {
    self->status = record(self);
  } else {
    const QfFileKind kind = qf_file_kind_of_path(self->path);
    self->status = qf_document_export(self->lesson, self->path, kind, self->options, &self->error);
  }
  self->error.status = self->status;
  g_idle_add(finished_cb, self);
  return NULL;
}

/// An export with a copy of the lesson, not yet running; NULL with the reason
static QfExport*
prepare(const QfLesson* const lesson,
        const char* const     path,
        const QfExportDone    done,
        const gpointer        data,
        QfError* const        error)
{
  char*     json = NULL;
  QfLesson* copy = NULL;
  QfStatus  st   = qf_lesson_to_json(lesson, &json, error);

  if (!st) {
    st = qf_lesson_from_json(json, strlen(json), &copy, error);
    free(json);
  }
  if (st) {
    return NULL;
  }

  QfExport* const self = g_new0(QfExport, 1);
  self->lesson         = copy;
  self->path           = g_strdup(path);
  self->done           = done;
  self->data           = data;
  return self;
}

static QfExport*
start(QfExport* const self)
{
  g_atomic_ref_count_init(&self->references);
  g_atomic_ref_count_inc(&self->references);
  g_thread_unref(g_thread_new("export", run, self));
  return self;
}

QfExport*
qf_export_start(const QfLesson* const lesson,
                const char* const     path,
                const QfExportOptions options,
                const QfExportDone    done,
                const gpointer        data,
                QfError* const        error)
{
  QfExport* const self = prepare(lesson, path, done, data, error);
  if (!self) {
    return NULL;
  }

  self->soundfont               = g_strdup(options.sound.soundfont);
  self->options                 = options;
  self->options.sound.soundfont = self->soundfont;
  self->options.progress        = progress_cb;
  self->options.progress_data   = self;
  return start(self);
}

QfExport*
qf_export_start_recording(const QfLesson* const lesson,
                          const char* const     path,
                          const gboolean        is_split,
                          const QfRecordOptions options,
                          const QfExportDone    done,
                          const gpointer        data,
                          QfError* const        error)
{
  QfExport* const self = prepare(lesson, path, done, data, error);
  if (!self) {
    return NULL;
  }

  self->is_recording           = TRUE;
  self->is_split               = is_split;
  self->plan                   = options.plan ? qf_plan_dup(options.plan) : NULL;
  self->folder                 = g_strdup(options.folder);
  self->soundfont              = g_strdup(options.sound.soundfont);
  self->record                 = options;
  self->record.plan            = self->plan;
  self->record.folder          = self->folder;
  self->record.sound.soundfont = self->soundfont;
  self->record.progress        = progress_cb;
  self->record.progress_data   = self;
  return start(self);
}

const char*
qf_export_get_remarks(const QfExport* const self)
{
  return self->remarks;
}

double
qf_export_get_progress(QfExport* const self)
{
  return g_atomic_int_get(&self->per_mille) / 1000.0;
}

void
qf_export_cancel(QfExport* const self)
{
  g_atomic_int_set(&self->is_cancelled, 1);
}

void
qf_export_free(QfExport* const self)
{
  if (self) {
    self->done = NULL;
    qf_export_cancel(self);
    unref(self);
  }
}
