// SPDX-License-Identifier: MIT
#include "qf-answer-item.h"

#include "qf-answer-file.h"
#include "qf-answer-shelf.h"

struct _QfAnswerItem {
  GObject       parent_instance;
  QfAnswer*     answer; ///< Owned
  QfLesson*     lesson; ///< Owned
  QfAnswerFile* file;   ///< Owned
};

G_DEFINE_FINAL_TYPE(QfAnswerItem, qf_answer_item, G_TYPE_OBJECT)

enum { CHANGED, FAILED, N_SIGNALS };
static guint signals[N_SIGNALS];

char*
qf_now_dup(void)
{
  g_autoptr(GDateTime) now = g_date_time_new_now_utc();
  return g_date_time_format(now, "%Y-%m-%dT%H:%M:%SZ");
}

gboolean
qf_answer_item_flush(QfAnswerItem* const self)
{
  return qf_answer_file_flush(self->file);
}

static void
failed_cb(QfAnswerItem* const self, const char* const text)
{
  g_signal_emit(self, signals[FAILED], 0, text);
}

gboolean
qf_answer_item_finish(QfAnswerItem* const self, const QfStatus status, const QfError* const error)
{
  if (status) {
    g_signal_emit(self, signals[FAILED], 0,
                  error && error->text[0] ? error->text : qf_status_text(status));
    return FALSE;
  }

  qf_answer_file_touch(self->file);
  g_signal_emit(self, signals[CHANGED], 0);
  return TRUE;
}

QfAnswer*
qf_answer_item_get_answer(const QfAnswerItem* const self)
{
  return self->answer;
}

QfLesson*
qf_answer_item_get_lesson(const QfAnswerItem* const self)
{
  return self->lesson;
}

const QfTry*
qf_answer_item_get_try(const QfAnswerItem* const self)
{
  const size_t n = qf_answer_n_attempts(self->answer);
  return n ? qf_answer_get_attempt(self->answer, n - 1) : NULL;
}

const char*
qf_answer_item_get_path(const QfAnswerItem* const self)
{
  return qf_answer_file_get_path(self->file);
}

static void
qf_answer_item_finalize(GObject* const object)
{
  QfAnswerItem* const self = QF_ANSWER_ITEM(object);

  if (self->file) {
    qf_answer_item_flush(self);
    g_signal_handlers_disconnect_by_data(self->file, self);
    qf_answer_file_close(self->file);
    g_object_unref(self->file);
  }
  qf_answer_free(self->answer);
  qf_lesson_free(self->lesson);
  G_OBJECT_CLASS(qf_answer_item_parent_class)->finalize(object);
}

static void
qf_answer_item_class_init(QfAnswerItemClass* const klass)
{
  G_OBJECT_CLASS(klass)->finalize = qf_answer_item_finalize;
  signals[CHANGED] = g_signal_new("changed", G_TYPE_FROM_CLASS(klass), G_SIGNAL_RUN_LAST, 0, NULL,
                                  NULL, NULL, G_TYPE_NONE, 0);
  signals[FAILED]  = g_signal_new("failed", G_TYPE_FROM_CLASS(klass), G_SIGNAL_RUN_LAST, 0, NULL,
                                  NULL, NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void
qf_answer_item_init(QfAnswerItem* const self)
{
  (void)self;
}

QfAnswerItem*
qf_answer_item_new(QfAnswer* const answer, const char* const path, QfError* const error)
{
  QfLesson* lesson = NULL;

  if (qf_answer_unpack(answer, &lesson, error)) {
    qf_answer_free(answer);
    return NULL;
  }

  QfAnswerItem* const self     = g_object_new(QF_TYPE_ANSWER_ITEM, NULL);
  const bool          is_begun = qf_answer_n_attempts(answer) > 0;

  self->answer = answer;
  self->lesson = lesson;
  if (!is_begun && !qf_answer_is_read_only(answer)) {
    g_autofree char* now = qf_now_dup();
    qf_answer_begin_attempt(answer, now, false, NULL);
  }

  // An attempt in which nothing happened yet is not worth a file.
  g_autofree char* own =
    path && is_begun ? g_strdup(path) : qf_answer_shelf_dup_path(qf_answer_get_title(answer));
  self->file = qf_answer_file_new(answer, own);
  g_signal_connect_swapped(self->file, "failed", G_CALLBACK(failed_cb), self);
  return self;
}
