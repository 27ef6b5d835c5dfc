// SPDX-License-Identifier: MIT
#include "qf-answer-file.h"

#include "quintfall/file.h"

#include <stdlib.h>
#include <string.h>

struct _QfAnswerFile {
  GObject   parent_instance;
  QfAnswer* answer; ///< Not owned; NULL once closed
  char*     path;   ///< Owned
  guint     idle;
  gboolean  is_writing; ///< A thread has taken a text that is not answered for yet
  GMutex    disk;       ///< Held while the file is written
  guint64   on_disk;    ///< Revision of what the file holds; under `disk`
};

G_DEFINE_FINAL_TYPE(QfAnswerFile, qf_answer_file, G_TYPE_OBJECT)

enum { FAILED, N_SIGNALS };
static guint signals[N_SIGNALS];

/// One state of the answer on its way to the disk
typedef struct {
  char*   json; ///< Owned
  guint64 revision;
} Text;

static void
text_free(gpointer data)
{
  Text* const text = data;
  free(text->json);
  g_free(text);
}

static void
tell_failure(QfAnswerFile* const self, const char* const why)
{
  g_autofree char* text = g_strdup_printf(
    "The answer could not be written: %s. It is kept open; save a copy elsewhere.", why);
  g_signal_emit(self, signals[FAILED], 0, text);
}

/// Replace the file unless it holds something newer; called from any thread
static QfStatus
put_on_disk(QfAnswerFile* const self, const Text text, QfError* const error)
{
  QfStatus st = QF_OK;

  g_mutex_lock(&self->disk);
  if (text.revision > self->on_disk) {
    st = qf_file_write(self->path, text.json, strlen(text.json), error);
    if (!st) {
      self->on_disk = text.revision;
    }
  }
  g_mutex_unlock(&self->disk);
  return st;
}

static gboolean
is_behind(QfAnswerFile* const self)
{
  g_mutex_lock(&self->disk);
  const gboolean is_behind = self->answer && !qf_answer_is_read_only(self->answer) &&
                             self->on_disk < qf_answer_get_revision(self->answer);
  g_mutex_unlock(&self->disk);
  return is_behind;
}

static void
write_in_thread(GTask* const task, gpointer source, gpointer data, GCancellable* const cancellable)
{
  QfError        error = {0};
  const QfStatus st    = put_on_disk(source, *(const Text*)data, &error);

  (void)cancellable;
  if (st) {
    g_task_return_new_error(task, G_IO_ERROR, G_IO_ERROR_FAILED, "%s", error.text);
  } else {
    g_task_return_boolean(task, TRUE);
  }
}

static void
written_cb(GObject* const object, GAsyncResult* const result, gpointer data)
{
  QfAnswerFile* const self = QF_ANSWER_FILE(object);
  g_autoptr(GError) error  = NULL;

  (void)data;
  self->is_writing = FALSE;
  if (g_task_propagate_boolean(G_TASK(result), &error)) {
    qf_answer_file_touch(self); // What was typed meanwhile
  } else {
    tell_failure(self, error->message);
  }
}

static gboolean
idle_cb(gpointer data)
{
  QfAnswerFile* const self  = data;
  QfError             error = {0};
  Text                text  = {NULL, qf_answer_get_revision(self->answer)};

  self->idle = 0;
  if (qf_answer_to_json(self->answer, &text.json, &error)) {
    tell_failure(self, error.text);
    return G_SOURCE_REMOVE;
  }

  g_autoptr(GTask) task = g_task_new(self, NULL, written_cb, NULL);
  self->is_writing      = TRUE;
  g_task_set_task_data(task, g_memdup2(&text, sizeof(text)), text_free);
  g_task_run_in_thread(task, write_in_thread);
  return G_SOURCE_REMOVE;
}

void
qf_answer_file_touch(QfAnswerFile* const self)
{
  if (!self->is_writing && !self->idle && is_behind(self)) {
    self->idle = g_idle_add(idle_cb, self);
  }
}

gboolean
qf_answer_file_flush(QfAnswerFile* const self)
{
  QfError error = {0};

  g_clear_handle_id(&self->idle, g_source_remove);
  if (!is_behind(self)) {
    return TRUE;
  }

  // A thread still at work is waited for in put_on_disk(); one that comes later finds this newer.
  Text     text = {NULL, qf_answer_get_revision(self->answer)};
  QfStatus st   = qf_answer_to_json(self->answer, &text.json, &error);
  st            = st ? st : put_on_disk(self, text, &error);
  free(text.json);
  if (st) {
    tell_failure(self, error.text);
  }
  return !st;
}

void
qf_answer_file_close(QfAnswerFile* const self)
{
  g_clear_handle_id(&self->idle, g_source_remove);
  self->answer = NULL;
}

const char*
qf_answer_file_get_path(const QfAnswerFile* const self)
{
  return self->path;
}

static void
qf_answer_file_finalize(GObject* const object)
{
  QfAnswerFile* const self = QF_ANSWER_FILE(object);

  g_clear_handle_id(&self->idle, g_source_remove);
  g_free(self->path);
  g_mutex_clear(&self->disk);
  G_OBJECT_CLASS(qf_answer_file_parent_class)->finalize(object);
}

static void
qf_answer_file_class_init(QfAnswerFileClass* const klass)
{
  G_OBJECT_CLASS(klass)->finalize = qf_answer_file_finalize;
  signals[FAILED] = g_signal_new("failed", G_TYPE_FROM_CLASS(klass), G_SIGNAL_RUN_LAST, 0, NULL,
                                 NULL, NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void
qf_answer_file_init(QfAnswerFile* const self)
{
  g_mutex_init(&self->disk);
}

QfAnswerFile*
qf_answer_file_new(QfAnswer* const answer, const char* const path)
{
  QfAnswerFile* const self = g_object_new(QF_TYPE_ANSWER_FILE, NULL);

  self->answer  = answer;
  self->path    = g_strdup(path);
  self->on_disk = qf_answer_get_revision(answer);
  return self;
}
