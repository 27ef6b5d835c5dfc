// SPDX-License-Identifier: MIT
#include "qf-lesson-item.h"

#include "common/qf-message.h"
#include "qf-journal.h"

#include <string.h>

enum {
  JOURNAL_DELAY_S = 3, ///< Short enough to lose little, long enough not to write at every key
};

struct _QfLessonItem {
  GObject      parent_instance;
  QfLesson*    lesson;  ///< Owned
  char*        path;    ///< Owned, may be NULL
  char*        source;  ///< Owned, name of the file of another format it was read from, or NULL
  char*        journal; ///< Owned path of this document's journal
  guint        journal_timeout;
  gboolean     is_recovered;
  QfNamingKind naming; ///< Of every lesson opened
};

G_DEFINE_FINAL_TYPE(QfLessonItem, qf_lesson_item, G_TYPE_OBJECT)

enum { REPLACED, CHANGED, SAVED, FAILED, N_SIGNALS };
static guint signals[N_SIGNALS];

static gboolean
write_journal_cb(gpointer data)
{
  QfLessonItem* const self = data;
  self->journal_timeout    = 0;
  if (qf_lesson_item_is_modified(self)) {
    // A full disk shows when the user saves; until then the journal is only a second net.
    qf_lesson_write_journal(self->lesson, self->journal, NULL);
  }

  return G_SOURCE_REMOVE;
}

static void
schedule_journal(QfLessonItem* const self)
{
  if (!self->journal_timeout) {
    self->journal_timeout = g_timeout_add_seconds(JOURNAL_DELAY_S, write_journal_cb, self);
  }
}

void
qf_lesson_item_drop_journal(QfLessonItem* const self)
{
  g_clear_handle_id(&self->journal_timeout, g_source_remove);
  qf_journal_remove(self->journal);
}

/// @param source Taken
static void
replace(QfLessonItem* const self,
        QfLesson* const     lesson,
        const char* const   path,
        char* const         source,
        const gboolean      is_recovered)
{
  qf_lesson_item_drop_journal(self);
  g_clear_pointer(&self->lesson, qf_lesson_free);
  g_free(self->path);
  g_free(self->source);
  self->source       = source;
  self->lesson       = lesson;
  self->path         = g_strdup(path);
  self->is_recovered = is_recovered;
  qf_lesson_set_naming(lesson, self->naming);
  if (is_recovered) {
    schedule_journal(self);
  }

  g_signal_emit(self, signals[REPLACED], 0);
}

void
qf_lesson_item_import(QfLessonItem* const self, QfLesson* const lesson, const char* const source)
{
  g_autofree char* base = g_path_get_basename(source);
  char* const      dot  = strrchr(base, '.');

  if (dot && dot > base) {
    *dot = '\0';
  }
  replace(self, lesson, NULL, g_steal_pointer(&base), FALSE);
}

void
qf_lesson_item_take(QfLessonItem* const self,
                    QfLesson* const     lesson,
                    const char* const   path,
                    const gboolean      is_recovered)
{
  replace(self, lesson, path, NULL, is_recovered);
}

QfLesson*
qf_lesson_item_get_lesson(const QfLessonItem* const self)
{
  return self->lesson;
}

const QfScore*
qf_lesson_item_get_score(const QfLessonItem* const self)
{
  return qf_lesson_get_score(self->lesson);
}

const QfLabels*
qf_lesson_item_get_labels(const QfLessonItem* const self)
{
  return qf_lesson_get_labels(self->lesson);
}

void
qf_lesson_item_set_naming(QfLessonItem* const self, const QfNamingKind naming)
{
  self->naming = naming;
  qf_lesson_set_naming(self->lesson, naming);
}

const char*
qf_lesson_item_get_path(const QfLessonItem* const self)
{
  return self->path;
}

char*
qf_lesson_item_dup_title(const QfLessonItem* const self)
{
  const char* const title = qf_score_get_title(qf_lesson_item_get_score(self));
  return title && title[0] ? g_strdup(title)
         : self->path      ? g_path_get_basename(self->path)
         : self->source    ? g_strdup(self->source)
                           : g_strdup("Untitled lesson");
}

gboolean
qf_lesson_item_is_modified(const QfLessonItem* const self)
{
  return self->is_recovered || qf_lesson_is_modified(self->lesson);
}

gboolean
qf_lesson_item_finish(QfLessonItem* const self, const QfStatus status, const QfError* const error)
{
  if (status) {
    g_autofree char* text =
      qf_sentence_dup(error && error->text[0] ? error->text : qf_status_text(status));
    g_signal_emit(self, signals[FAILED], 0, text);
    return FALSE;
  }

  schedule_journal(self);
  g_signal_emit(self, signals[CHANGED], 0);
  return TRUE;
}

QfStatus
qf_lesson_item_save(QfLessonItem* const self, const char* const path, QfError* const error)
{
  const QfStatus st = qf_lesson_save(self->lesson, path, error);
  if (st) {
    return st;
  }

  if (g_strcmp0(self->path, path)) {
    g_free(self->path);
    self->path = g_strdup(path);
  }

  self->is_recovered = FALSE;
  qf_lesson_item_drop_journal(self);
  g_signal_emit(self, signals[SAVED], 0);
  return QF_OK;
}

static void
qf_lesson_item_finalize(GObject* const object)
{
  QfLessonItem* const self = QF_LESSON_ITEM(object);

  // The journal file stays: only saving or giving up removes it.
  g_clear_handle_id(&self->journal_timeout, g_source_remove);
  g_clear_pointer(&self->lesson, qf_lesson_free);
  g_clear_pointer(&self->path, g_free);
  g_clear_pointer(&self->source, g_free);
  g_clear_pointer(&self->journal, g_free);
  G_OBJECT_CLASS(qf_lesson_item_parent_class)->finalize(object);
}

static void
qf_lesson_item_class_init(QfLessonItemClass* const klass)
{
  static const char* const plain_signals[] = {
    [REPLACED] = "replaced", [CHANGED] = "changed", [SAVED] = "saved"};

  G_OBJECT_CLASS(klass)->finalize = qf_lesson_item_finalize;

  for (int i = REPLACED; i <= SAVED; ++i) {
    signals[i] = g_signal_new(plain_signals[i], QF_TYPE_LESSON_ITEM, G_SIGNAL_RUN_LAST, 0, NULL,
                              NULL, NULL, G_TYPE_NONE, 0);
  }

  signals[FAILED] = g_signal_new("failed", QF_TYPE_LESSON_ITEM, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 1, G_TYPE_STRING);
}

static void
qf_lesson_item_init(QfLessonItem* const self)
{
  QfMetre metre = {0};
  QfKey   key   = {{0, 0}, QF_MAJOR};

  qf_metre(4, 4, &metre);
  self->lesson  = qf_lesson_new(key, metre, QF_TIME_ZERO, 4);
  self->journal = qf_journal_path();
  g_assert(self->lesson);
}

QfLessonItem*
qf_lesson_item_new(void)
{
  return g_object_new(QF_TYPE_LESSON_ITEM, NULL);
}
