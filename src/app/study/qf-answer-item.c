// SPDX-License-Identifier: MIT
#include "qf-answer-item.h"

#include <string.h>

enum {
  SAVE_DELAY_MS = 800, ///< Typing becomes one write, not one for each key
  SLUG_SIZE     = 40,
};

struct _QfAnswerItem {
  GObject   parent_instance;
  QfAnswer* answer; ///< Owned
  QfLesson* lesson; ///< Owned
  char*     path;   ///< Owned
  guint     save_timeout;
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

/// A file in the user's data folder, named after the lesson and the moment (transfer full)
static char*
fresh_path(const char* const title)
{
  g_autoptr(GDateTime) now = g_date_time_new_now_local();
  g_autofree char* when    = g_date_time_format(now, "%Y-%m-%d-%H%M%S");
  g_autofree char* ascii   = g_str_to_ascii(title[0] ? title : "dictation", NULL);
  g_autofree char* folder  = g_build_filename(g_get_user_data_dir(), "quintfall", "answers", NULL);

  g_strcanon(ascii, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", '-');
  if (strlen(ascii) > SLUG_SIZE) {
    ascii[SLUG_SIZE] = '\0';
  }
  g_mkdir_with_parents(folder, 0700);

  g_autofree char* name = g_strdup_printf("%s %s.json", ascii, when);
  return g_build_filename(folder, name, NULL);
}

gboolean
qf_answer_item_flush(QfAnswerItem* const self)
{
  QfError error = {0};

  g_clear_handle_id(&self->save_timeout, g_source_remove);
  if (!qf_answer_is_modified(self->answer) || qf_answer_is_read_only(self->answer) ||
      !qf_answer_save(self->answer, self->path, &error)) {
    return TRUE;
  }

  g_autofree char* text = g_strdup_printf(
    "The answer could not be written: %s. It is kept open; save a copy elsewhere.", error.text);
  g_signal_emit(self, signals[FAILED], 0, text);
  return FALSE;
}

static gboolean
save_cb(gpointer data)
{
  QfAnswerItem* const self = data;

  self->save_timeout = 0;
  qf_answer_item_flush(self);
  return G_SOURCE_REMOVE;
}

gboolean
qf_answer_item_finish(QfAnswerItem* const self, const QfStatus status, const QfError* const error)
{
  if (status) {
    g_signal_emit(self, signals[FAILED], 0,
                  error && error->text[0] ? error->text : qf_status_text(status));
    return FALSE;
  }

  g_clear_handle_id(&self->save_timeout, g_source_remove);
  self->save_timeout = g_timeout_add(SAVE_DELAY_MS, save_cb, self);
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
  return self->path;
}

static void
qf_answer_item_finalize(GObject* const object)
{
  QfAnswerItem* const self = QF_ANSWER_ITEM(object);

  if (self->answer && self->path) {
    qf_answer_item_flush(self);
  }
  g_clear_handle_id(&self->save_timeout, g_source_remove);
  qf_answer_free(self->answer);
  qf_lesson_free(self->lesson);
  g_free(self->path);
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
  self->path   = path && is_begun ? g_strdup(path) : fresh_path(qf_answer_get_title(answer));
  if (!is_begun && !qf_answer_is_read_only(answer)) {
    g_autofree char* now = qf_now_dup();
    qf_answer_begin_attempt(answer, now, false, NULL);
  }
  return self;
}
